"""What a lesson imports: live figures, questions, the plan, and ``ready``.

Each name is one call in one cell; the call opens its panel in that cell.
"""

from rxlearn.bench.band_spread import (
    dial_rates,
    drift,
    plate_laws,
    spread_network,
    spread_parts,
    switched_capacitor,
    tracking,
)
from rxlearn.bench.audio_matching import output_matching
from rxlearn.bench.beat import beat_side
from rxlearn.bench.build_sheet import build_sheet, paper_dial
from rxlearn.bench.block_diagram import block_diagram, stage_currents
from rxlearn.bench.cautions import caution, cautions, current_through_a_body, safety_list
from rxlearn.bench.coils import (
    coil_feed,
    coil_pair,
    coil_q,
    double_tuned,
    same_inductance,
    wind_coil,
)
from rxlearn.bench.circuits import circuit_diagrams
from rxlearn.bench.crystal_filter import (
    beat_and_filter,
    crystal_fixture,
    crystal_ladder,
    crystal_resonance,
)
from rxlearn.bench.fault_finding import find_the_fault
from rxlearn.bench.first_knob import first_knob
from rxlearn.bench.frequency_choice import choose_frequency
from rxlearn.bench.frequency_figures import band_pairs, frequency_walk, frequency_weights
from rxlearn.bench.image_swapping import image_swapping, meeting, recentring
from rxlearn.bench.injection_side import (
    image_neighbourhood,
    injection,
    multiband,
    oscillator_range,
)
from rxlearn.bench.measured import (
    alignment,
    practice_dial,
    supply_check,
    two_capacitors,
    your_dial,
    your_readings,
)
from rxlearn.bench.mixing import following, leaky_mixer, mixing
from rxlearn.bench.parts import choke_or_resistor, preferred_parts, resistor_heat
from rxlearn.bench.parts_list import parts_list
from rxlearn.bench.plan import keep, show_plan
from rxlearn.bench.power_supply import (
    choke_input,
    supply_ratings,
    supply_waveforms,
    switching_off,
    switching_on,
)
from rxlearn.bench.preselector import preselector
from rxlearn.bench.questions import ask
from rxlearn.bench.ready import ready
from rxlearn.bench.simple_set import simple_set, tune_once
from rxlearn.bench.spurs import (
    clean_and_dirty,
    spur_chart,
    spur_levels,
    spur_mixer,
    whistle_pitch,
)
from rxlearn.bench.third_band import (
    converter_front,
    converter_steps,
    crystal_whistles,
    crystals_compared,
    third_dial,
)
from rxlearn.bench.tolerances import (
    adding_up,
    many_receivers,
    parts_that_matter,
    trimmer_reach,
    warmed_receivers,
)
from rxlearn.bench.stage_voltages import meter_readings
from rxlearn.bench.worked import worked_example

__all__ = [
    "ask", "band_pairs", "beat_side", "build_sheet", "caution", "cautions", "choke_input", "choose_frequency",
    "current_through_a_body", "dial_rates", "drift", "first_knob", "following",
    "frequency_walk", "frequency_weights", "image_neighbourhood", "image_swapping", "injection",
    "keep", "leaky_mixer", "meeting", "mixing", "multiband", "oscillator_range",
    "output_matching", "plate_laws", "preselector", "ready", "recentring", "safety_list",
    "show_plan", "simple_set", "spread_network", "spread_parts", "supply_ratings",
    "supply_waveforms", "switched_capacitor", "switching_off", "switching_on", "tracking",
    "tune_once", "worked_example",
    "adding_up", "many_receivers", "parts_that_matter", "trimmer_reach", "warmed_receivers",
    "clean_and_dirty", "spur_chart", "spur_levels", "spur_mixer", "whistle_pitch",
    "converter_front", "converter_steps", "crystal_whistles", "crystals_compared", "third_dial",
    "coil_feed", "coil_pair", "coil_q", "double_tuned", "same_inductance", "wind_coil",
    "beat_and_filter", "crystal_fixture", "crystal_ladder", "crystal_resonance",
    "block_diagram", "circuit_diagrams", "find_the_fault", "meter_readings", "stage_currents",
    "alignment", "paper_dial", "practice_dial", "supply_check", "two_capacitors", "your_dial", "your_readings",
    "choke_or_resistor", "parts_list", "preferred_parts", "resistor_heat",
]
