"""Both bands of a receiver at one place of the dial: what runs between its blocks.

Limits are those of :mod:`rxlearn.compute.stages`.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.quantities import Range
from rxlearn.compute.stages import FollowedSignal, ReceiverStage, follow_signal, loudspeaker_power
from rxlearn.compute.stages import StageLevel

SHARE = Range("The place in the band", "%", 0.0, 100.0)
TURNS = Range("The turns ratio", "", 0.1, 1000.0)


@dataclass(frozen=True)
class ConvertedThird:
    """A third band before the receiver: ``name``, edges and ``crystal`` (Hz), where it is read.

    ``device`` are the converter's valves in words, ``main`` the name of the main band.
    """

    name: str
    low: float
    high: float
    crystal: float
    main: str
    device: str

    def at(self, share: float) -> tuple[float, float]:
        """The signal at ``share`` (%) of the third band, and what the main dial reads (Hz)."""
        signal = self.low + share / 100 * (self.high - self.low)
        return signal, abs(signal - self.crystal)


@dataclass(frozen=True, kw_only=True)
class TwoBandSet:
    """What a receiver of two bands needs to be followed through.  Frequencies in Hz.

    ``names`` and ``edges`` (low, high) and ``injections`` are the lower band's, then the upper's;
    ``turns_ratio`` is the output transformer's, ``loudspeaker`` in ohm.  ``third`` is a third band
    that a converter brings to one of the two.  ``middle`` (Hz) is the middle of what the filter
    passes, None for the intermediate frequency.  ``by_band`` are the stages with each band's own
    gains, where these differ.
    """

    stages: tuple[ReceiverStage, ...]
    names: tuple[str, str]
    edges: tuple[tuple[float, float], tuple[float, float]]
    injections: tuple[str, str]
    intermediate_frequency: float
    beat_offset: float
    turns_ratio: float
    loudspeaker: float
    third: ConvertedThird | None = None
    middle: float | None = None
    by_band: tuple[tuple[ReceiverStage, ...], tuple[ReceiverStage, ...]] | None = None


@dataclass(frozen=True)
class BlockDiagram:
    """One setting: both bands followed at ``share`` (%), the signal on ``band`` (0 lower, 1 upper).

    ``loudspeaker`` (V r.m.s.) and ``power`` (W) are what the received signal makes there.
    """

    receiver: TwoBandSet
    band: int
    share: float
    followed: tuple[FollowedSignal, FollowedSignal]
    loudspeaker: float
    power: float

    @property
    def received(self) -> FollowedSignal:
        """The signal on the band that is switched on."""
        return self.followed[self.band]

    @property
    def levels(self) -> tuple[StageLevel, ...]:
        """Its levels, stage by stage."""
        return self.received.levels


def follow_blocks(
    receiver: TwoBandSet, *, band: int, share: float, aerial_dbm: float, place: str
) -> BlockDiagram:
    """Follow a carrier at ``share`` (%, 0 to 100) of each band through ``receiver``.

    ``band`` (0 or 1) is the one switched on; ``aerial_dbm`` and ``place`` as in
    :func:`rxlearn.compute.stages.follow_signal`.  Raises :class:`~rxlearn.compute.quantities.
    Unclear` where scheme or stages cannot work.
    """
    share = SHARE.check(share)
    followed = tuple(
        follow_signal(
            stages, signal=low + share / 100 * (high - low),
            intermediate_frequency=receiver.intermediate_frequency, injection=injection,
            aerial_dbm=aerial_dbm, place=place, beat_offset=receiver.beat_offset,
            middle=receiver.middle)
        for stages, (low, high), injection in zip(
            receiver.by_band or (receiver.stages,) * 2, receiver.edges, receiver.injections,
            strict=True))
    voltage = followed[band].levels[-1].output / TURNS.check(receiver.turns_ratio)
    return BlockDiagram(receiver, band, share, followed, voltage,
                        loudspeaker_power(voltage, receiver.loudspeaker))


def volume_down_db(found: FollowedSignal) -> float:
    """By how much (dB) to turn the volume down so that no grid behind the detector clips.

    Zero where none does; DERIVED from the ratio of each stage's input to its limit.
    """
    before_detector = found.signal_overload_dbm
    if found.overload_dbm is None or found.overload_dbm == before_detector:
        return 0.0
    return max(0.0, found.aerial_dbm - found.overload_dbm)
