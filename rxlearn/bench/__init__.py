"""What a lesson imports: live figures, questions, the plan, and ``ready``.

Each name is one call in one cell; the call opens its panel in that cell.
"""

from rxlearn.bench.first_knob import first_knob
from rxlearn.bench.mixing import following, leaky_mixer, mixing
from rxlearn.bench.plan import keep, show_plan
from rxlearn.bench.questions import ask
from rxlearn.bench.ready import ready
from rxlearn.bench.simple_set import simple_set, tune_once
from rxlearn.bench.worked import worked_example

__all__ = [
    "ask", "first_knob", "following", "keep", "leaky_mixer", "mixing", "ready", "show_plan",
    "simple_set", "tune_once", "worked_example",
]
