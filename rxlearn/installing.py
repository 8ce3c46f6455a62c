"""Install the workbook inside its own folder.

Standard library only: a bare Python runs this before anything is installed.
Everything is put into ``.venv`` beside ``pyproject.toml``, from the lock files
and nowhere else in the system; deleting ``.venv`` undoes it.

A stamp file in ``.venv`` tells what was installed there.  A second run compares
it and starts at once.  A marker file stands there while an install runs: if the
run was interrupted, the environment is made afresh, because pip takes a half
copied package for an installed one.
"""

from __future__ import annotations

import contextlib
import dataclasses
import hashlib
import importlib.util
import json
import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

LOCKS = {"open": "requirements.lock", "test": "requirements-test.lock"}


class SetUpFault(Exception):
    """Set-up cannot go on; the message is one sentence that says what to do."""


@dataclasses.dataclass(frozen=True)
class Checkout:
    """The folder that holds this workbook, and the places in it."""

    root: Path

    @property
    def environment(self) -> Path:
        """The folder of the virtual environment."""
        return self.root / ".venv"

    @property
    def python(self) -> Path:
        """The environment's Python (the Windows layout is written, not tested)."""
        if os.name == "nt":
            return self.environment / "Scripts" / "python.exe"
        return self.environment / "bin" / "python"

    @property
    def stamp(self) -> Path:
        """What was installed, written last."""
        return self.environment / "rxlearn-setup.json"

    @property
    def unfinished(self) -> Path:
        """Exists while an install runs."""
        return self.environment / "rxlearn-setup-unfinished"

    @property
    def log(self) -> Path:
        """The last install's full output."""
        return self.root / ".rxlearn-setup.log"


def find_checkout(start: Path | None = None) -> Checkout:
    """Return the checkout this file belongs to; SetUpFault when it is in none."""
    root = (start or Path(__file__).resolve().parent.parent)
    missing = [n for n in ("pyproject.toml", *LOCKS.values()) if not (root / n).is_file()]
    if missing:
        raise SetUpFault(
            f"{root} has no {missing[0]}: start this command from a full copy of the workbook, "
            "in the folder that holds README.md."
        )
    return Checkout(root)


# What this Python lacks ------------------------------------------------------------


def lacking(*, find_spec=importlib.util.find_spec, platform: str = sys.platform) -> str | None:
    """Return the sentence about a module that set-up needs and this Python lacks, or None."""
    absent = [name for name in ("venv", "ensurepip") if find_spec(name) is None]
    if not absent:
        return None
    version = f"{sys.version_info[0]}.{sys.version_info[1]}"
    if platform.startswith("linux"):
        remedy = (
            "on Debian or Ubuntu: sudo apt install python3-venv "
            f"(or python{version}-venv for this Python)"
        )
    else:
        remedy = "install a Python that has them, for example the one from the Python site"
    return f"This Python ({sys.executable}) lacks {' and '.join(absent)}; {remedy}. Then run again."


# The stamp -------------------------------------------------------------------------


def fingerprint(checkout: Checkout, purpose: str) -> str:
    """Return a digest of everything that decides what ``purpose`` installs."""
    digest = hashlib.sha256()
    # What JupyterLab reads is copied at installing, even into an editable installation.
    server = checkout.root / "rxlearn" / "server"
    copied = sorted(
        path.relative_to(checkout.root).as_posix()
        for path in server.rglob("*") if path.suffix in (".json", ".js")
    )
    for name in (LOCKS[purpose], "pyproject.toml", *copied):
        # Line ends differ between systems; they decide nothing.
        content = (checkout.root / name).read_bytes().replace(b"\r\n", b"\n")
        digest.update(f"{name} {len(content)}\n".encode() + content)
    return digest.hexdigest()


def read_stamp(checkout: Checkout) -> dict[str, str]:
    """Return the stamp, or an empty dict when it is missing or unreadable."""
    try:
        stamp = json.loads(checkout.stamp.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


def write_stamp(checkout: Checkout, purpose: str) -> None:
    """Note that ``purpose`` is installed; the tests' lock holds the other one too."""
    stamp = read_stamp(checkout) | {"folder": str(checkout.root)}
    for name in ("open", "test") if purpose == "test" else ("open",):
        stamp[name] = fingerprint(checkout, name)
    draft = checkout.stamp.with_suffix(".new")
    draft.write_text(json.dumps(stamp, indent=1) + "\n", encoding="utf-8")
    draft.replace(checkout.stamp)


def why_rebuild(checkout: Checkout, *, ask=None) -> str | None:
    """Return why an existing environment cannot be used, as a clause, or None.

    ``ask`` runs the environment's Python and returns its version as "3.11",
    or None when it does not run or has no pip.
    """
    if checkout.unfinished.exists():
        return "the last set-up did not finish"
    folder = read_stamp(checkout).get("folder")
    if folder not in (None, str(checkout.root)):
        return f"it was made when this folder was at {folder}"
    found = (ask or _ask_version)(checkout.python)
    if found is None:
        return "its Python does not run or has no pip"
    mine = f"{sys.version_info[0]}.{sys.version_info[1]}"
    return None if found == mine else f"it was made by Python {found} and this is Python {mine}"


def _ask_version(python: Path) -> str | None:
    question = "import sys, pip; print('%d.%d' % sys.version_info[:2])"
    try:
        answer = subprocess.run(
            [str(python), "-I", "-c", question], capture_output=True, text=True, timeout=60
        )
    except (OSError, subprocess.TimeoutExpired):
        return None
    return answer.stdout.strip() if answer.returncode == 0 else None


# Installing ------------------------------------------------------------------------

_PIP_TROUBLE = (
    (
        ("No space left on device",),
        "The disk is full: the workbook needs about 1 GB free.",
    ),
    (
        ("DO NOT MATCH THE HASHES", "Hashes are required"),
        "A downloaded package is not the one that was locked, so nothing of it was used: try "
        "again, and if it happens again, tell the workbook's authors.",
    ),
    (
        (
            "NewConnectionError",
            "ConnectTimeoutError",
            "ReadTimeoutError",
            "NameResolutionError",
            "Name or service not known",
            "Temporary failure in name resolution",
            "Connection refused",
            "Network is unreachable",
            "ProxyError",
        ),
        "The package index did not answer: the first set-up needs the internet. "
        "Check the connection and run the same command again.",
    ),
    (
        ("SSLError", "CERTIFICATE_VERIFY_FAILED"),
        "The package index's certificate was not accepted: check this computer's clock and, in a "
        "school or company network, ask for its certificate.",
    ),
    (
        ("No matching distribution found",),
        "A locked package has no version for this Python or computer; try Python 3.11 to 3.14.",
    ),
)


def explain_pip(output: str) -> str:
    """Return one sentence for what pip printed when it failed."""
    for signs, sentence in _PIP_TROUBLE:
        if any(sign in output for sign in signs):
            return sentence
    errors = re.findall(r"^\s*(?:ERROR|\w+Error): *(.+)", output, flags=re.MULTILINE)
    return f"pip could not install: {errors[-1] if errors else 'it gave no reason'}"


def pip_commands(checkout: Checkout, purpose: str) -> list[list[str]]:
    """Return the two pip runs: the locked packages by hash, then the workbook itself."""
    pip = [str(checkout.python), "-I", "-m", "pip", "install", "--disable-pip-version-check"]
    pip += ["--no-input", "--retries", "2", "--progress-bar", "off"]
    lock = str(checkout.root / LOCKS[purpose])
    itself = ["--no-deps", "--no-build-isolation", "--no-index", "-e", str(checkout.root)]
    return [pip + ["--require-hashes", "-r", lock], pip + itself]


def child_environment(checkout: Checkout) -> dict[str, str]:
    """Return the environment for what runs in ``.venv``, cleared of what would mislead it."""
    misleading = {"PYTHONHOME", "PYTHONPATH", "__PYVENV_LAUNCHER__", "PIP_USER", "PIP_TARGET"}
    misleading |= {"PIP_PREFIX", "PIP_ROOT", "PIP_CONSTRAINT", "PIP_REQUIREMENT", "PIP_NO_DEPS"}
    kept = {name: value for name, value in os.environ.items() if name not in misleading}
    kept["VIRTUAL_ENV"] = str(checkout.environment)
    kept["PATH"] = str(checkout.python.parent) + os.pathsep + kept.get("PATH", "")
    # Lessons ask for "python3": this environment's, not one from the home folder.
    kept["JUPYTER_PREFER_ENV_PATH"] = "1"
    return kept


def _run_pip(checkout: Checkout, command: Sequence[str], log) -> None:
    """Run pip, keep its output in the log, count the packages on a terminal."""
    output: list[str] = []
    process = subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
        cwd=checkout.root,
        env=child_environment(checkout) | {"PYTHONUTF8": "1"},
    )
    counted = 0
    for line in process.stdout:
        output.append(line)
        log.write(line)
        if line.startswith("Collecting ") and sys.stdout.isatty():
            counted += 1
            print(f"\r  {counted} packages fetched ", end="", flush=True)
    if counted:
        print()
    if process.wait() != 0:
        raise SetUpFault(f"{explain_pip(''.join(output))} (All that pip said: {checkout.log})")


def _make_environment(checkout: Checkout) -> None:
    fault = lacking()
    if fault:
        raise SetUpFault(fault)
    made = subprocess.run(
        [sys.executable, "-I", "-m", "venv", "--clear", str(checkout.environment)],
        capture_output=True,
        text=True,
    )
    if made.returncode != 0:
        said = (made.stdout + made.stderr).strip().splitlines() or ["it gave no reason"]
        raise SetUpFault(f"Python could not make {checkout.environment}: {said[-1]}")


@contextlib.contextmanager
def _alone(checkout: Checkout) -> Iterator[None]:
    """Hold the checkout's lock, so that two set-ups at once do not mix."""
    with open(checkout.root / ".rxlearn-setup.lock", "a+") as handle:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(handle.fileno(), msvcrt.LK_LOCK, 1)
        else:
            import fcntl

            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                print("Another set-up of this folder is running; waiting for it.", flush=True)
                fcntl.flock(handle, fcntl.LOCK_EX)
        yield


def set_up(checkout: Checkout, purpose: str) -> None:
    """Make ``.venv`` hold the locked versions for ``purpose``; quick when it does already.

    Raises SetUpFault with one sentence when it cannot.
    """
    with _alone(checkout):
        inside = Path(sys.prefix).resolve() == checkout.environment.resolve()
        if checkout.environment.exists():
            reason = why_rebuild(checkout)
            if reason and inside:
                raise SetUpFault(
                    f"The folder .venv must be made afresh, because {reason}: run the same "
                    "command with the system's Python, not with the one in .venv."
                )
            if reason:
                print(f"The folder .venv is made afresh: {reason}.", flush=True)
                shutil.rmtree(checkout.environment)
        if not checkout.environment.exists():
            print("Making a place for the packages in .venv ...", flush=True)
            _make_environment(checkout)
        if read_stamp(checkout).get(purpose) == fingerprint(checkout, purpose):
            return
        _install(checkout, purpose)


def _install(checkout: Checkout, purpose: str) -> None:
    lock = (checkout.root / LOCKS[purpose]).read_text(encoding="utf-8")
    count = sum("==" in line and not line.startswith((" ", "#")) for line in lock.splitlines())
    print(f"Installing about {count} packages at their locked versions (once) ...", flush=True)
    began = time.monotonic()
    checkout.unfinished.touch()
    with open(checkout.log, "w", encoding="utf-8") as log:
        for command in pip_commands(checkout, purpose):
            _run_pip(checkout, command, log)
    write_stamp(checkout, purpose)
    checkout.unfinished.unlink()
    checkout.log.unlink()
    print(f"Set up in {time.monotonic() - began:.0f} seconds.", flush=True)
