"""The learner's receiver as one validated document.

``fields`` says what a plan holds, ``document`` reads, checks and writes it,
``rules`` are the conditions across fields, ``consequences`` what follows.
Knows ``compute`` only: no files, no widgets.
"""
