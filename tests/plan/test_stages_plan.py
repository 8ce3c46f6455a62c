"""The plan's stages: the demo adds up to its supply, valves are known by name, rows speak."""

import pytest

from rxlearn.compute.quantities import Unclear, parse
from rxlearn.plan.aerial import match_of
from rxlearn.plan.circuits import circuit_in
from rxlearn.plan.coils import wanted_of
from rxlearn.plan.consequences import derive
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.proposals import proposal
from rxlearn.plan.stage_reach import short_of
from rxlearn.plan.stages import STAGES, currents_of, followed, stages_of, valve_in
from tests.any_plans import WORKING


def with_stages(text, **more):
    from rxlearn.plan.fields import FIELDS

    changes = {STAGES: FIELDS[STAGES].read(text), **more}
    return Plan.demo().changed({
        key: Change(value=value, status="wished", origin="test") for key, value in changes.items()})


def row(plan, label):
    return derive(plan)[label].text


def test_the_demo_adds_up_to_its_own_supply():
    """Five bulbs at 0.3 A and a lamp; anodes and screens by their makers' sheets (from memory):
    2.9 + 6.8 + 5.0 + 2.1 + 6.4 + 2.4 + 1.2 + 1.2 + 2 × 10.5 mA."""
    plan = Plan.demo()
    assert currents_of(plan).heaters == pytest.approx(6 * 0.3, rel=1e-6, abs=0)
    assert currents_of(plan).supply == pytest.approx(
        1e-3 * (2.9 + 6.8 + 5.0 + 2.1 + 6.4 + 2.4 + 1.2 + 1.2 + 21.0), rel=1e-6, abs=0)
    assert currents_of(plan).supply == plan.value("supply.load")
    assert currents_of(plan).heaters == plan.value("supply.heater_current")
    assert row(plan, "Stages, anodes and screens together") == "49 mA, as the supply reckons with"
    assert row(plan, "Stages, heaters together") == "1.8 A of the 2 A that the winding may give"
    assert "as published" in row(plan, "Stages, heaters against published figures")


@pytest.mark.parametrize("device, name", [
    ("V1 6BE6", "6BE6"), ("½ 12AX7", "12AX7"), ("ECC83", "12AX7"), ("6V6GT", "6V6"),
    ("v5 6sn7-gtb", "6SN7"), ("12AU7A, both halves", "12AU7"), ("two diodes", None), ("V6", None),
    ("crystals", None), ("<b>6BE6</b>", "6BE6"),
])
def test_a_valve_is_known_by_its_type(device, name):
    found = valve_in(device)
    assert (found.name if found else None) == name


def test_a_stage_more_is_noticed_by_the_supply():
    plan = Plan.demo()
    rows = (*plan.value(STAGES), ("signal_amplifier", "6BA6", 0.3, 15.2e-3, 20.0, None))
    more = plan.changed({STAGES: Change(value=rows, status="wished", origin="test")})
    assert "too much, so choose a larger winding" in row(more, "Stages, heaters together")
    assert "reckons with 49 mA, so one of the two must be put right" in row(
        more, "Stages, anodes and screens together")
    computed = {p.key: p for p in proposal("stage_by_stage", more)}
    assert computed["supply.load"].value == pytest.approx(64.2e-3, rel=1e-6, abs=0)
    assert computed["supply.heater_current"].value == pytest.approx(2.1, rel=1e-6, abs=0)
    assert computed["supply.load"].status == "computed"


def test_odd_heaters_and_loads_are_named():
    plan = with_stages("mixer | 6BE6 | 150 mA | 9.7 mA\noutput | 6AK6 | 0.15 A | 17.5 mA | 20 dB")
    assert row(plan, "Stages, heaters against published figures") == "6BE6: published is 300 mA"
    assert row(plan, "Stages, load of the output valve") == (
        "6AK6 wants 10 kΩ, the plan holds 5 kΩ: put one right")
    assert "has no oscillator" in row(plan, "Stages, own noise figure")


def test_an_empty_list_is_said_in_words():
    plan = with_stages("none")
    for label in ("Stages, heaters together", "Stages, gain from aerial to output valve"):
        found = derive(plan)[label]
        assert not found.possible and found.text.endswith(".")
    assert {p.key: p.value for p in proposal("stage_by_stage", plan)}["supply.load"] == 49e-3


def test_the_table_survives_its_file():
    plan = Plan.demo()
    assert Plan.from_text(plan.to_text()).value(STAGES) == plan.value(STAGES)
    assert stages_of(plan)[1].bias == 1.5 and stages_of(plan)[0].bias is None


def test_a_signal_is_followed_on_each_band():
    for band, signal in (("lower_band", 3.75e6), ("upper_band", 10.125e6)):
        found = followed(Plan.demo(), band)
        assert found.signal == signal
        assert abs(found.oscillator - signal) == pytest.approx(3.2768e6, rel=1e-6, abs=0)
    with pytest.raises(Unclear):
        followed(with_stages("none"), "lower_band")


def test_a_blank_preselector_gain_follows_each_bands_coil():
    """DERIVED: 126 pF at √(14 × 14.35) MHz is 89.1 Ω, 8.91 kΩ at twice Q 50, 22.5 dB and 1 to 13.3;
    40 pF at √(18.068 × 18.168) MHz is 219.6 Ω, 21.96 kΩ, 26.4 dB and 1 to 21.0."""
    plan = Plan.demo().changed({
        key: Change(value=value, status="wished", origin="test") for key, value in {
            "lower_band.low": 14e6, "lower_band.high": 14.35e6, "upper_band.low": 18.068e6,
            "upper_band.high": 18.168e6, "intermediate_frequency": 2e6,
            "lower_coil.capacitance": 126e-12, "upper_coil.capacitance": 40e-12}.items()})
    for band, gain, turns in (("lower_band", 22.5, 13.3), ("upper_band", 26.4, 21.0)):
        first = followed(plan, band).levels[0]
        assert first.stage.gain_db == pytest.approx(gain, abs=0.051)
        assert first.output / first.input == pytest.approx(10 ** (gain / 20), rel=0.01)
        assert match_of(plan, band).turns == pytest.approx(turns, rel=0.01)
    typed = with_stages("preselector | coil | | | 12 dB\nmixer | 6BE6 | 0.3 A | 9.7 mA\n"
                        "oscillator | 6AU6 | 0.3 A | 7 mA\ndetector | diode")
    assert followed(typed, "lower_band").levels[0].stage.gain_db == 12.0


@pytest.mark.parametrize("name", WORKING)
def test_a_circuit_holds_the_very_coils_of_the_cards(name):
    """One plan, one coil: what is wound by its card is what the diagram shows."""
    plan = Plan.demo().changed({
        key: Change(value=value, status="wished", origin="test")
        for key, value in WORKING[name].items()})
    for band, coil in (("lower_band", "lower_coil"), ("upper_band", "upper_coil")):
        drawn = parse(circuit_in(plan, "preselector", band).value("L2"), "H")
        assert drawn == pytest.approx(wanted_of(plan, coil), rel=5e-3, abs=0)
        behind = parse(circuit_in(plan, "intermediate_amplifier", band).value("L1"), "H")
        assert behind == pytest.approx(wanted_of(plan, "transformer_coil"), rel=5e-3, abs=0)


BLANK = ("preselector | coil\nmixer | V1 6BE6 | 0.3 A | 9.7 mA\noscillator | 6AU6 | 0.3 A | 7.1 mA\n"
         "filter | crystals\nintermediate_amplifier | V3 6BA6 | 0.3 A | 8.8 mA\ndetector | diodes | | | -6 dB")


def gains(plan, band="lower_band"):
    return {s.function: s.gain_db for s in stages_of(plan, band)}


def test_blank_gains_follow_from_the_filter_and_the_transformer():
    """By hand, 3.2768 MHz: ends of 4.69 kΩ, 475 µS · 2.35 kΩ = 1.114, 0.9 dB; the filter's own loss
    of 0.36 dB is all that is left; coils of 221 Ω, Q 105 and 94, k 0.0216: 8.4 kΩ · 4.4 mS = 37,
    31.4 dB.  On 10.7 MHz ends of 117 Ω: 58.5 Ω · 475 µS, -31.1 dB; 68 Ω, Q 105 and 101, critical:
    3.49 kΩ · 4.4 mS = 15.3, 23.7 dB.  Circuits as for the formulas in tests/compute/test_built_gains."""
    found = gains(with_stages(BLANK))
    assert [found[key] for key in ("mixer", "filter", "intermediate_amplifier")] == [
        pytest.approx(wanted, abs=0.11) for wanted in (0.9, -0.4, 31.4)]
    found = gains(with_stages(BLANK, **WORKING["80 m and 12 m"]))
    assert [found[key] for key in ("mixer", "filter", "intermediate_amplifier")] == [
        pytest.approx(wanted, abs=0.11) for wanted in (-31.1, -1.6, 23.7)]


def test_typed_gains_stay_and_what_cannot_be_said_is_left_out():
    typed = with_stages(BLANK.replace("9.7 mA", "9.7 mA | 7.5 dB").replace("crystals", "crystals | | | -6 dB"))
    assert gains(typed)["mixer"] == 7.5 and gains(typed)["filter"] == -6.0
    assert gains(with_stages(BLANK.replace("6BE6", "12AX7")))["mixer"] is None
    without = gains(with_stages(BLANK, **WORKING["20 m and 17 m"]))  # no such ladder on 2 MHz
    assert without["mixer"] is without["filter"] is None
    assert followed(with_stages(BLANK, **WORKING["20 m and 17 m"]), "lower_band").unknown_gains == (
        "mixer", "crystal filter")
    # 475 µS into 4.7 kΩ with 100 kΩ across it, 4.49 kΩ: 6.6 dB (DERIVED).
    assert gains(with_stages(BLANK.replace("filter | crystals\n", "")))["mixer"] == pytest.approx(6.6, abs=0.05)


def test_a_typed_gain_that_the_filter_does_not_allow_is_said():
    """475 µS with ends of 117 Ω: -31.1 - 1.6 dB; 10·log(4700/117) + 10·log(100 000/117) = 45.3 dB."""
    typed = (BLANK.replace("9.7 mA", "9.7 mA | 7.5 dB").replace("crystals", "crystals | | | -6 dB")
             .replace("8.8 mA", "8.8 mA | 38 dB"))
    for text, says in ((BLANK, False), (typed, True)):
        first, *more = short_of(with_stages(text, **WORKING["80 m and 12 m"]))
        assert "-32.7 dB" in first and "lose 45.3 dB: choose transformers" in first
        assert ("enters 1.5 dB, which cannot be reached" in first) == says == bool(more)
    assert short_of(Plan.demo()) == () == short_of(with_stages("none"))
    assert row(Plan.demo(), "Stages, mixer and filter together").startswith("0.6 dB")
    assert short_of(with_stages(BLANK.replace("8.8 mA", "8.8 mA | 38 dB")))[0].startswith(
        "Intermediate-frequency amplifier: 31.4 dB")
    assert row(with_stages(BLANK.replace("6BE6", "12AX7")), "Stages, mixer and filter together") == (
        "the workbook has no conversion transconductance of “V1 12AX7”")
