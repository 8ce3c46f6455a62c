"""The commands: open the workbook, test it, say where things are.

Standard library only, like ``installing``: a bare Python runs this first.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from rxlearn.installing import (
    LOCKS,
    Checkout,
    SetUpFault,
    child_environment,
    find_checkout,
    fingerprint,
    read_stamp,
    set_up,
)

FIRST_LESSON = "lessons/00-start-here.ipynb"
USAGE = """\
python3 -m rxlearn open [options of jupyter lab]   set up, then open the first lesson
python3 -m rxlearn test [options of pytest]        set up, then run all the tests
python3 -m rxlearn where                           say where things are kept
"""


def plan_folder() -> Path:
    """Return where the learner's plan and answers are kept (it may not exist yet)."""
    chosen = os.environ.get("RXLEARN_HOME", "").strip()
    return Path(chosen).expanduser() if chosen else Path.home() / "my-receiver"


def lab_command(checkout: Checkout, extra: Sequence[str], *, user_id: int | None) -> list[str]:
    """Return the command that opens JupyterLab at the first lesson."""
    command = [str(checkout.python), "-m", "jupyterlab", f"--ServerApp.root_dir={checkout.root}"]
    if (checkout.root / FIRST_LESSON).is_file():
        command.append(f"--LabApp.default_url=/lab/tree/{FIRST_LESSON}")
    if user_id == 0 and "--allow-root" not in extra:
        command.append("--allow-root")
    return command + list(extra)


def test_command(checkout: Checkout, extra: Sequence[str]) -> list[str]:
    """Return the command that runs the tests and replays the lessons against their outputs.

    Paths among ``extra`` replace the default of everything.
    """
    command = [str(checkout.python), "-m", "pytest", "-n", "2", "--dist", "loadfile", "--nbval"]
    command += ["--nbval-current-env", "--nbval-sanitize-with", "tests/lessons/sanitize.cfg"]
    chosen = [a for a in extra if not a.startswith("-") and _names_a_path(checkout, a)]
    if not chosen:
        command.append("tests")
        if any((checkout.root / "lessons").glob("*.ipynb")):
            command.append("lessons")
    return command + list(extra)


def _names_a_path(checkout: Checkout, argument: str) -> bool:
    return (checkout.root / argument.split("::")[0]).exists()


def _hand_over(checkout: Checkout, command: Sequence[str]) -> int:
    """Let ``command`` take this process's place, so that its signals and status are its own."""
    environment = child_environment(checkout)
    os.chdir(checkout.root)
    sys.stdout.flush()
    if os.name != "nt":
        os.execve(command[0], list(command), environment)
    try:
        return subprocess.call(list(command), env=environment)
    except KeyboardInterrupt:
        return 130


def _open(checkout: Checkout, extra: Sequence[str]) -> int:
    set_up(checkout, "open")
    user_id = os.getuid() if hasattr(os, "getuid") else None
    if user_id == 0:
        print("You are root, which JupyterLab refuses unless told: --allow-root is added.")
    print("JupyterLab opens in your browser. Stop it with Ctrl+C in this window.", flush=True)
    return _hand_over(checkout, lab_command(checkout, extra, user_id=user_id))


def _test(checkout: Checkout, extra: Sequence[str]) -> int:
    set_up(checkout, "test")
    return _hand_over(checkout, test_command(checkout, extra))


def _where(checkout: Checkout) -> int:
    stamp = read_stamp(checkout)
    ready = [name for name in LOCKS if stamp.get(name) == fingerprint(checkout, name)]
    can = ", ".join(ready) or "nothing yet"
    print(f"Your plan and answers:  {plan_folder()}  (choose another with RXLEARN_HOME)")
    print(f"The workbook:           {checkout.root}")
    print(f"Its packages:           {checkout.environment}  (ready to: {can})")
    print(f"This Python:            {sys.version.split()[0]}  {sys.executable}")
    if ready:
        question = (
            "from importlib.metadata import version as v;"
            "print(*(f'{n} {v(n)}' for n in ('rxlearn','jupyterlab','ipywidgets','numpy',"
            "'matplotlib')), sep=', ')"
        )
        said = subprocess.run(
            [str(checkout.python), "-I", "-c", question], capture_output=True, text=True
        )
        print(f"Versions:               {said.stdout.strip() or 'not readable'}")
    return 0


def main(argv: Sequence[str]) -> int:
    """Run ``open``, ``test`` or ``where`` and return the exit status."""
    if not argv or argv[0] in ("-h", "--help", "help"):
        print(USAGE, end="")
        return 0 if argv else 2
    command, extra = argv[0], list(argv[1:])
    try:
        if command == "open":
            return _open(find_checkout(), extra)
        if command == "test":
            return _test(find_checkout(), extra)
        if command == "where":
            return _where(find_checkout())
    except SetUpFault as fault:
        print(fault, file=sys.stderr)
        return 1
    except OSError as fault:
        name = fault.filename or "a file"
        print(f"Set-up could not use {name}: {fault.strerror or fault}.", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped. Run the same command again to go on.", file=sys.stderr)
        return 130
    print(f"There is no command {command!r}.\n{USAGE}", end="", file=sys.stderr)
    return 2
