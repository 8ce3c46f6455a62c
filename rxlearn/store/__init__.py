"""Where the plan and the progress are kept.

``folder`` is the shelf (a folder, or memory), ``desk`` the plan on it,
``progress`` the answers and predictions.  Knows ``plan``; no widgets.
"""
