"""Valves and band switch on the sheet: pins, voltages with room to write, every contact wired."""

import pytest

from rxlearn.plan.circuits import circuit_in, circuits_in
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.parts import uses_of
from rxlearn.plan.parts_supply import switch_poles
from rxlearn.sheets.build_sheet import build_sheet
from rxlearn.sheets.pages import Heading, Table, Warned
from rxlearn.sheets.valve_pages import switch_blocks, valve_blocks


@pytest.fixture(scope="module")
def demo():
    return build_sheet(Plan.demo())


def tables(sheet):
    return {block.caption: block for block in sheet.blocks if isinstance(block, Table)}


def changed(plan, **values):
    return plan.changed({key.replace("__", "."): Change(value=value, status="wished", origin="test")
                         for key, value in values.items()})


def test_every_valve_s_electrodes_have_a_pin_a_range_and_room():
    table = next(b for b in valve_blocks(Plan.demo()) if getattr(b, "caption", "") == "Voltages at the valves")
    assert {row[0] for row in table.rows} == {
        "mixer", "oscillator", "intermediate-frequency amplifier", "beat oscillator",
        "audio amplifier", "output stage"}
    assert all(row[3][0].isdigit() and row[4] and row[5] == "" for row in table.rows)


def test_the_cautions_stand_before_the_voltages():
    blocks = valve_blocks(Plan.demo())
    place = next(n for n, b in enumerate(blocks) if getattr(b, "caption", "") == "Voltages at the valves")
    assert {"charged_capacitor", "one_hand", "meter"} <= {
        b.caption if isinstance(b, Table) else b.caution.key for b in blocks[:place]
        if isinstance(b, Warned)}


@pytest.mark.parametrize("circuits", [1, 2])
def test_the_band_switch_has_as_many_poles_as_the_parts_list_and_each_joins_both_bands(circuits):
    plan = changed(Plan.demo(), preselector__circuits=circuits)
    rows = switch_blocks(plan)[0].rows
    assert {int(row[0]) for row in rows} == set(range(1, switch_poles(plan) + 1))
    for pole in {row[0] for row in rows}:
        assert [row[1] for row in rows if row[0] == pole] == ["80 m", "30 m"]
    assert all(joins and to and "S1" not in joins + to for _, _, joins, to in rows)


def test_a_signal_amplifier_takes_a_pole_and_two_tuned_circuits():
    stages = Plan.demo().value("stages.list")
    plan = changed(Plan.demo(), stages__list=(
        stages[0], ("signal_amplifier", "V6 6BA6", 0.3, 15.2e-3, 20.0, "test"), *stages[1:]))
    rows = switch_blocks(plan)[0].rows
    assert {int(row[0]) for row in rows} == set(range(1, switch_poles(plan) + 1))
    last = [row[1:] for row in rows if int(row[0]) == switch_poles(plan)]
    anode = "signal-frequency amplifier: the valve's anode"
    assert last == [("80 m", anode, "L1, C4 for 80 m"), ("30 m", anode, "L1, C4 for 30 m")]
    # DERIVED: a coil for each band, 1/((2πf)²C), as the preselector's cards have it.
    coils = [use.value for use in uses_of(plan) if use.what == "coil, signal-frequency amplifier"]
    assert coils == ["9.05 µH", "2.47 µH"]


def test_each_switch_has_a_mark_of_its_own_in_all_circuits():
    # DERIVED: band, mains and converter switch share a sheet and a panel; counted by hand, three.
    plan = changed(Plan.demo(), third_band__wanted="yes")
    switches = {}
    for stage in circuits_in(plan):
        for part in circuit_in(plan, stage, "lower_band").parts:
            if part.ref[0] == "S":
                switches.setdefault(part.ref[:2], set()).add(part.kind.partition(",")[0].partition(";")[0])
    assert switches == {"S1": {"band switch"}, "S2": {"mains switch"}, "S3": {"converter switch"}}
    assert switch_blocks(plan)[0].caption == "Band switch S1"


def test_both_bands_preselectors_are_printed_with_their_own_coils(demo):
    found = tables(demo)
    coils = []
    for name in ("80 m", "30 m"):
        rows = {row[0]: row[2] for row in found[f"Parts of the preselector, {name}"].rows}
        coils.append(rows["L2"])
    # DERIVED: 1/((2πf)²C), 3.74 MHz with 200 pF and 10.12 MHz with 100 pF.
    assert coils == ["9.05 µH", "2.47 µH"]


def test_the_coil_cards_hold_tap_windings_and_the_beat_oscillator_s_coil(demo):
    cards = {caption: dict(table.rows) for caption, table in tables(demo).items()
             if caption.startswith("Coil card")}
    assert "tap" in cards["Coil card: Oscillator coil"]
    assert "aerial winding" in cards["Coil card: Upper band's preselector coil"]
    assert "Coil card: Beat oscillator coil" in cards


def test_what_valves_cannot_stand_and_who_stands_in_is_missing():
    rows = tuple((row[0], "V5 PX25Z", *row[2:]) if row[0] == "output" else row
                 for row in Plan.demo().value("stages.list"))
    sheet = build_sheet(changed(Plan.demo(), stages__list=rows, supply__winding_voltage=360.0,
                                oscillator_coil__turns=14.0))
    missing = " ".join(sheet.missing)
    assert "is not made for “V5 PX25Z”" in missing
    assert "Valve of the mixer, 6BE6: its anode has" in missing
    assert "Oscillator coil: Its inductance is" in missing


def test_valves_come_before_the_first_power(demo):
    titles = [block.text for block in demo.blocks if isinstance(block, Heading)]
    assert titles.index("Circuits") < titles.index("Valves") < titles.index("First power")
