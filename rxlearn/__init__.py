"""A workbook on planning and building a superheterodyne receiver.

The rooms, from the bottom up: ``compute`` (the science), ``plan`` and
``store`` (the learner's receiver and where it is kept), ``figures``,
``exercises``, ``bench`` (what a hand touches).  DEVELOPERS.md draws the map.
"""

__version__ = "0.1.0"
