"""Set-up: the locks, the top level, the wheel, and what set-up decides and says.

What installs for real is tested by use: the README's test command has run it
before any of these tests starts.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from packaging.markers import Marker, default_environment
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet
from packaging.utils import canonicalize_name

from rxlearn import installing, workshop

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
SUPPORTED = ("3.11.2", "3.11.14", "3.12.3", "3.13.5", "3.14.0")
SYSTEMS = {
    "linux": {"sys_platform": "linux", "os_name": "posix", "platform_system": "Linux"},
    "darwin": {"sys_platform": "darwin", "os_name": "posix", "platform_system": "Darwin"},
    "win32": {"sys_platform": "win32", "os_name": "nt", "platform_system": "Windows"},
}


def read_lock(name: str) -> list[tuple[Requirement, list[str]]]:
    """Return every requirement of a lock file with its hashes."""
    text = (ROOT / name).read_text(encoding="utf-8").replace("\\\n", " ")
    entries = []
    for line in text.splitlines():
        if line.strip() and not line.lstrip().startswith("#"):
            requirement, *hashes = re.split(r"\s+--hash=", line.strip())
            entries.append((Requirement(requirement), hashes))
    return entries


def pins(name: str) -> set[tuple[str, str, str]]:
    return {
        (canonicalize_name(r.name), str(r.specifier), str(r.marker or ""))
        for r, _ in read_lock(name)
    }


def direct(name: str) -> list[Requirement]:
    """Return what pyproject.toml asks for directly and this lock must hold."""
    wanted = PROJECT["project"]["dependencies"] + PROJECT["dependency-groups"]["build"]
    if name == "requirements-test.lock":
        wanted = wanted + PROJECT["project"]["optional-dependencies"]["test"]
    return [Requirement(line) for line in wanted]


def environment(python: str, system: str) -> dict[str, str]:
    return {
        **default_environment(),
        **SYSTEMS[system],
        "python_version": ".".join(python.split(".")[:2]),
        "python_full_version": python,
        "implementation_version": python,
        "platform_python_implementation": "CPython",
        "extra": "",
    }


# The locks -----------------------------------------------------------------------

LOCK_NAMES = tuple(installing.LOCKS.values())


@pytest.mark.parametrize("name", LOCK_NAMES)
def test_lock_holds_only_names_versions_markers_and_hashes(name):
    text = (ROOT / name).read_text(encoding="utf-8")
    for sign in ("/", "@", "file:", "http:", "https:", "#", "--index", "--find-links"):
        assert sign not in text
    hash_line = re.compile(r"    --hash=sha256:[0-9a-f]{64}( \\)?")
    pin_line = re.compile(r"[a-z0-9][a-z0-9-]*==[0-9][0-9a-z.]*( ; [a-z0-9_ <>=!.'()]+)? \\", re.I)
    for line in text.splitlines():
        assert hash_line.fullmatch(line) or pin_line.fullmatch(line), line


@pytest.mark.parametrize("name", LOCK_NAMES)
def test_every_locked_package_has_one_version_and_hashes(name):
    for requirement, hashes in read_lock(name):
        assert len(requirement.specifier) == 1
        assert next(iter(requirement.specifier)).operator == "=="
        assert hashes, requirement


def test_the_tests_lock_holds_the_other_with_the_same_versions():
    assert pins("requirements.lock") <= pins("requirements-test.lock")


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("python", SUPPORTED)
@pytest.mark.parametrize("name", LOCK_NAMES)
def test_each_python_gets_one_allowed_version_of_each(name, python, system):
    where = environment(python, system)
    chosen: dict[str, list[str]] = {}
    for requirement, _ in read_lock(name):
        if requirement.marker is None or Marker(str(requirement.marker)).evaluate(where):
            version = next(iter(requirement.specifier)).version
            chosen.setdefault(canonicalize_name(requirement.name), []).append(version)
    assert {k: v for k, v in chosen.items() if len(v) != 1} == {}
    for wanted in direct(name):
        [version] = chosen[canonicalize_name(wanted.name)]
        assert wanted.specifier.contains(version, prereleases=True), wanted
    assert SpecifierSet(PROJECT["project"]["requires-python"]).contains(python)


def test_what_builds_the_package_is_locked_too():
    assert PROJECT["dependency-groups"]["build"] == PROJECT["build-system"]["requires"]


# The top level, binder, the wheel ------------------------------------------------

TOP_LEVEL = {
    "pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE", "lessons", "rxlearn", "tests",
    "binder", *LOCK_NAMES,
}  # fmt: skip


def test_top_level_holds_only_what_it_should():
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout
    names = {name.split("/")[0] for name in listed.split("\0") if name}
    assert {name for name in names if not name.startswith(".")} - TOP_LEVEL == set()
    assert {"pyproject.toml", "README.md", "LICENSE", "rxlearn", *LOCK_NAMES} <= names


def test_binder_takes_the_lock_and_a_pinned_python():
    assert (ROOT / "binder/requirements.txt").read_text().split() == ["-r", "../requirements.lock"]
    pinned = re.fullmatch(r"python-(3\.\d+)\s*", (ROOT / "binder/runtime.txt").read_text())
    assert pinned and SpecifierSet(PROJECT["project"]["requires-python"]).contains(pinned[1])
    script = ROOT / "binder/postBuild"
    assert os.access(script, os.X_OK) or os.name == "nt"
    assert "--no-deps" in script.read_text()


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> list[str]:
    out = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(out)],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    [path] = out.glob("*.whl")
    with zipfile.ZipFile(path) as archive:
        return archive.namelist()


def test_wheel_holds_every_file_of_the_package(wheel):
    kept = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "rxlearn").rglob("*")
        if path.is_file() and path.suffix in (".py", ".js", ".css", ".json")
    }
    assert {suffix for suffix in map(lambda n: Path(n).suffix, kept)} >= {".py", ".js", ".json"}
    assert kept - set(wheel) == set()


@pytest.mark.parametrize(
    "place",
    [
        "etc/jupyter/jupyter_server_config.d/rxlearn.json",
        "share/jupyter/lab/settings/overrides.d/rxlearn.json",
        "share/jupyter/labextensions/rxlearn/package.json",
        "share/jupyter/labextensions/rxlearn/static/run_lesson.js",
    ],
)
def test_wheel_puts_server_files_where_jupyter_looks(wheel, place):
    assert [name for name in wheel if name.endswith(f".data/data/{place}")]


def test_wheel_holds_no_tests_and_no_lessons(wheel):
    assert [name for name in wheel if name.startswith(("tests/", "lessons/", "binder/"))] == []


# What set-up decides -------------------------------------------------------------

MINE = f"{sys.version_info[0]}.{sys.version_info[1]}"


@pytest.fixture
def checkout(tmp_path) -> installing.Checkout:
    root = tmp_path / "a folder"
    (root / ".venv").mkdir(parents=True)
    for name in ("pyproject.toml", *LOCK_NAMES):
        (root / name).write_bytes((ROOT / name).read_bytes())
    return installing.Checkout(root)


def test_stamp_counts_for_what_was_installed(checkout):
    assert installing.read_stamp(checkout) == {}
    installing.write_stamp(checkout, "open")
    stamp = installing.read_stamp(checkout)
    assert stamp["open"] == installing.fingerprint(checkout, "open")
    assert "test" not in stamp
    installing.write_stamp(checkout, "test")
    stamp = installing.read_stamp(checkout)
    assert stamp["test"] == installing.fingerprint(checkout, "test") != stamp["open"]


@pytest.mark.parametrize("name", ["pyproject.toml", "requirements.lock"])
def test_a_changed_lock_or_project_ends_the_stamp(checkout, name):
    installing.write_stamp(checkout, "open")
    with open(checkout.root / name, "a") as file:
        file.write("\n# changed\n")
    stamp = installing.read_stamp(checkout)
    assert stamp["open"] != installing.fingerprint(checkout, "open")


@pytest.mark.parametrize("content", ["", "{", "[]", "\x00", '"open"'])
def test_a_damaged_stamp_is_no_stamp(checkout, content):
    checkout.stamp.write_text(content)
    assert installing.read_stamp(checkout) == {}


def test_a_sound_environment_is_kept(checkout):
    installing.write_stamp(checkout, "open")
    assert installing.why_rebuild(checkout, ask=lambda python: MINE) is None


def test_an_interrupted_install_is_done_afresh(checkout):
    checkout.unfinished.touch()
    assert "did not finish" in installing.why_rebuild(checkout, ask=lambda python: MINE)


def test_an_environment_of_another_python_is_made_afresh(checkout):
    said = installing.why_rebuild(checkout, ask=lambda python: "3.9")
    assert said == f"it was made by Python 3.9 and this is Python {MINE}"


def test_an_environment_that_does_not_run_is_made_afresh(checkout):
    assert installing.why_rebuild(checkout) == "its Python does not run or has no pip"


def test_a_moved_folder_is_noticed(checkout, tmp_path):
    installing.write_stamp(checkout, "open")
    moved = checkout.root.rename(tmp_path / "elsewhere")
    said = installing.why_rebuild(installing.Checkout(moved), ask=lambda python: MINE)
    assert "a folder" in said


def test_a_failed_install_leaves_no_stamp(checkout, monkeypatch):
    def fail(*_):
        raise installing.SetUpFault("The package index did not answer.")

    monkeypatch.setattr(installing, "why_rebuild", lambda _: None)
    monkeypatch.setattr(installing, "_run_pip", fail)
    with pytest.raises(installing.SetUpFault):
        installing.set_up(checkout, "open")
    assert installing.read_stamp(checkout) == {}
    assert checkout.unfinished.exists()


def test_a_second_run_installs_nothing(checkout, monkeypatch):
    runs = []
    monkeypatch.setattr(installing, "why_rebuild", lambda _: None)
    monkeypatch.setattr(installing, "_run_pip", lambda c, command, log: runs.append(command))
    installing.set_up(checkout, "test")
    assert len(runs) == 2 and "--require-hashes" in runs[0] and "--no-deps" in runs[1]
    for purpose in ("test", "open"):
        installing.set_up(checkout, purpose)
    assert len(runs) == 2


def test_the_lock_file_is_taken_literally(checkout):
    locked, itself = installing.pip_commands(checkout, "test")
    assert locked[-2:] == ["-r", str(checkout.root / "requirements-test.lock")]
    assert {"--no-deps", "--no-build-isolation", "--no-index"} <= set(itself)


def test_what_would_mislead_the_environment_is_cleared(checkout, monkeypatch):
    monkeypatch.setenv("PYTHONPATH", "/elsewhere")
    monkeypatch.setenv("PIP_USER", "1")
    given = installing.child_environment(checkout)
    assert "PYTHONPATH" not in given and "PIP_USER" not in given
    assert given["PATH"].startswith(str(checkout.environment))


# What set-up says ----------------------------------------------------------------


def test_a_missing_ensurepip_names_the_package_to_install():
    said = installing.lacking(
        find_spec=lambda name: None if name == "ensurepip" else object(), platform="linux"
    )
    assert "lacks ensurepip" in said and "sudo apt install python3-venv" in said
    assert installing.lacking(find_spec=lambda name: object()) is None


@pytest.mark.parametrize(
    ("printed", "said"),
    [
        ("WARNING: Retrying ... NewConnectionError('<pip..>: Failed')\nERROR: No matching "
         "distribution found for numpy==2", "did not answer"),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE.", "locked"),
        ("ERROR: Could not install: [Errno 28] No space left on device", "disk is full"),
        ("SSLError(SSLCertVerificationError(1, 'CERTIFICATE_VERIFY_FAILED'))", "certificate"),
        ("ERROR: No matching distribution found for numpy==2", "no version for this Python"),
        ("noise\nERROR: something else\nnoise", "pip could not install: something else"),
        ("", "it gave no reason"),
    ],
)  # fmt: skip
def test_pip_trouble_becomes_one_sentence(printed, said):
    sentence = installing.explain_pip(printed)
    assert said in sentence and "\n" not in sentence


def test_a_folder_that_is_no_checkout_is_named(tmp_path):
    with pytest.raises(installing.SetUpFault, match="README.md"):
        installing.find_checkout(tmp_path)


def run(*arguments, python=sys.executable, **environment_changes):
    return subprocess.run(
        [python, "-m", "rxlearn", *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        env={**os.environ, **environment_changes},
    )


def test_commands_need_nothing_installed():
    """Without site packages the commands still import and answer."""
    done = subprocess.run(
        [sys.executable, "-S", "-m", "rxlearn", "where"], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    assert str(ROOT) in done.stdout


def test_where_names_the_plan_folder(tmp_path):
    done = run("where", RXLEARN_HOME=str(tmp_path / "mine"))
    assert str(tmp_path / "mine") in done.stdout and done.returncode == 0


def test_plan_folder_is_the_one_that_the_store_uses(monkeypatch, tmp_path):
    from rxlearn.store import folder

    monkeypatch.setenv("RXLEARN_HOME", str(tmp_path))
    assert folder.open_store().folder == workshop.plan_folder() == tmp_path
    monkeypatch.delenv("RXLEARN_HOME")
    monkeypatch.setenv("HOME" if os.name != "nt" else "USERPROFILE", str(tmp_path))
    assert folder.open_store().folder == workshop.plan_folder() == tmp_path / "my-receiver"


def test_an_unknown_command_is_told_the_known_ones():
    done = run("opne")
    assert done.returncode == 2 and "opne" in done.stderr and "open" in done.stderr


def test_old_python_gets_a_sentence(monkeypatch, capsys):
    from rxlearn import __main__

    monkeypatch.setattr(__main__.sys, "version_info", (3, 9, 2))
    assert __main__.main(["open"]) == 2
    assert "needs Python 3.11 or newer, and this is Python 3.9" in capsys.readouterr().err


def test_first_file_stays_readable_for_an_old_python():
    """Only what Python 2.7 parses too: no f-string, no annotation, no future import."""
    for name in ("__main__.py", "__init__.py"):
        text = (ROOT / "rxlearn" / name).read_text(encoding="utf-8")
        assert not re.search(r"""\bf["']|->|from __future__|:=|print [^(]""", text), name


# The commands that are handed over -----------------------------------------------


def test_lab_opens_the_first_lesson_with_the_users_options(checkout):
    lesson = checkout.root / workshop.FIRST_LESSON
    lesson.parent.mkdir()
    lesson.touch()
    command = workshop.lab_command(checkout, ["--no-browser", "--port", "8899"], user_id=1000)
    assert command[1:3] == ["-m", "jupyterlab"]
    assert f"--LabApp.default_url=/lab/tree/{workshop.FIRST_LESSON}" in command
    assert command[-3:] == ["--no-browser", "--port", "8899"]
    assert "--allow-root" not in command
    assert "--allow-root" in workshop.lab_command(checkout, [], user_id=0)


def test_tests_take_everything_unless_a_path_is_given(checkout):
    for folder in ("tests", "lessons"):
        (checkout.root / folder).mkdir()
    (checkout.root / "lessons/a.ipynb").touch()
    assert workshop.test_command(checkout, ["-x"])[-3:] == ["tests", "lessons", "-x"]
    assert workshop.test_command(checkout, ["tests", "-x"])[-2:] == ["tests", "-x"]
    assert "lessons" not in workshop.test_command(checkout, ["tests"])


def test_readme_gives_these_commands_and_ci_runs_the_second():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert re.findall(r"```\n(python3 [^\n]+)\n```", readme) == [
        "python3 -m rxlearn open",
        "python3 -m rxlearn test",
    ]
    last = (ROOT / ".ci/run").read_text(encoding="utf-8").strip().splitlines()[-1]
    assert last == "exec python3 -m rxlearn test"


def test_labextension_and_server_settings_name_the_same_command():
    server = ROOT / "rxlearn/server"
    settings = json.loads((server / "lab_settings.json").read_text())
    [button] = settings["@jupyterlab/notebook-extension:panel"]["toolbar"]
    script = (server / "labextension/static/run_lesson.js").read_text()
    assert f'addCommand("{button["command"]}"' in script
    package = json.loads((server / "labextension/package.json").read_text())
    assert package["version"] == PROJECT["project"]["version"]
