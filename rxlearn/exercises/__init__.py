"""Questions and predictions of the lessons, their judge and their worked answers.

``questions`` holds the engine, ``predictions`` what is committed to before a
figure moves, ``registry`` finds either by key or lesson, and there is one bank
for each lesson.  Imports ``compute`` only: no widgets, no figures.
"""
