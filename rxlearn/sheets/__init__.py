"""What leaves the house: the build sheet, the dial to print, netlists, Touchstone.

Everything is computed from the receiver plan.  Text from the learner is
escaped at the one place where it is written, so that it can never become markup.
"""
