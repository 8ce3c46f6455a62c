"""``python3 -m rxlearn open``: the command line, kept readable by an old Python.

An old Python must get a sentence, not a syntax error, so nothing newer than
Python 2.7 is written here and the rest is imported only after the check.
"""

import sys

OLDEST = (3, 11)


def main(argv=None):
    """Run one command and return its exit status (0 is success)."""
    if sys.version_info[:2] < OLDEST:
        sys.stderr.write(
            "rxlearn needs Python 3.11 or newer, and this is Python {0}.{1} ({2}). Install a newer "
            "Python and start again with it, for example: python3.11 -m rxlearn open\n".format(
                sys.version_info[0], sys.version_info[1], sys.executable
            )
        )
        return 2
    from rxlearn import workshop

    return workshop.main(sys.argv[1:] if argv is None else argv)


if __name__ == "__main__":
    sys.exit(main())
