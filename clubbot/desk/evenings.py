"""A line told afterwards, worked out: outs first, then backs, then what was wrong."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import NamedTuple

from clubbot.desk.retelling import EARLY, Evening, Step, is_of_the_day
from clubbot.rules.counting import spelled
from clubbot.rules.ledger import Detail, EntryKind, Parts, Position, Use, added
from clubbot.rules.model import KitId
from clubbot.rules.reading.afterwards import Happening, Told
from clubbot.rules.results import ToldAsk
from clubbot.store.kits import KitNow
from clubbot.store.parts import contents

_OF_KITS = frozenset({Happening.BACK, Happening.OUT, Happening.STILL_OUT, Happening.LATE})


def work_out(evening: Evening) -> None:
    """Turn all that was told into steps and questions; later words stand over earlier ones."""
    told = _settled(evening.told)
    evening.told = told
    for wanted, add in (
        ((Happening.OUT, Happening.INSTEAD), _add_out),
        ((Happening.PASSED,), _add_passed),
        ((Happening.BACK, Happening.LATE), _add_back),
        ((Happening.FLAT, Happening.FOUND_FLAT, Happening.SHORT, Happening.FAULT), _add_trouble),
        ((Happening.NOT_SO,), _take_out),
    ):
        # Who is named by name goes before all the others.
        for each in sorted(told, key=lambda one: one.every):
            if each.what in wanted:
                add(evening, each)


def _settled(told: tuple[Told, ...]) -> tuple[Told, ...]:
    """Leave out of earlier words what later ones say otherwise of the same kit."""
    kept: list[Told] = []
    for each in told:
        kinds = {each.what}
        if each.what in (Happening.BACK, Happening.STILL_OUT, Happening.LATE):
            kinds = {Happening.BACK, Happening.STILL_OUT, Happening.LATE}
        if each.what is Happening.NOT_SO and each.of is not None:
            kinds = {each.of, *((Happening.FOUND_FLAT,) if each.of is Happening.FLAT else ())}
        if each.what in _OF_KITS or each.what is Happening.NOT_SO:
            kept = [_less(one, each) if one.what in kinds else one for one in kept]
        kept = [one for one in kept if one.every or one.kits or one.team]
        kept.append(each)
    return tuple(kept)


def _less(earlier: Told, later: Told) -> Told:
    if later.every and earlier.every and earlier.what is later.what:
        return replace(earlier, every=False)
    return replace(earlier, kits=tuple(kit for kit in earlier.kits if kit not in later.kits))


# -- out ------------------------------------------------------------------------------------------


def _add_out(evening: Evening, each: Told) -> None:
    moment = _moment(evening, each, out=True)
    at = moment.at
    if each.what is Happening.INSTEAD:
        _add_instead(evening, each, moment)
        return
    chosen = _meant(evening, each, at)
    if not chosen:
        evening.asks.append(ToldAsk("no kits", each.said))
    for now in chosen:
        stands = evening.stands(now.kit.id, at)
        if each.every and (stands.out or evening.today(now.kit.id, EntryKind.GIVEN_OUT)):
            continue
        step = _out(evening, now.kit.id, each, moment)
        given = evening.today(now.kit.id, EntryKind.GIVEN_OUT)
        if given is not None and moment.said and given.happened_at != at:
            step = replace(step, detail=given.detail, cancels=(given.seq,))
        elif given is not None and given.happened_at == at:
            continue
        evening.add(step)


def _meant(evening: Evening, each: Told, at: datetime) -> list[KitNow]:
    """Return the kits that went out by these words: those named, a team's, or all booked then."""
    if each.kits:
        return [evening.kit(label) for label in each.kits]
    spoken = {
        label
        for other in evening.told
        for label in (
            (*other.kits, other.instead)
            if other.what is Happening.INSTEAD
            else other.kits
            if other.what in (Happening.UNUSED, Happening.OUT)
            else ()
        )
    }
    booked = [
        booking
        for booking in evening.near
        if booking.window.start - EARLY <= at < booking.window.end and is_of_the_day(booking)
        if not each.team or booking.team == evening.teams[each.team].id
    ]
    ids = {kit for booking in booked for kit in booking.chosen}
    if not booked and not each.team:
        ids = {kit for kit, now in evening.known.items() if now.position.use is Use.IN_USE}
    return [
        now
        for kit, now in evening.known.items()
        if kit in ids and now.kit.label not in spoken | set(each.but)
    ]


def _out(evening: Evening, kit: KitId, each: Told, moment: _Moment) -> Step:
    at = moment.at
    booking = evening.booking_of(kit, at, each.team)
    team = evening.teams[each.team].id if each.team else booking.team if booking else None
    detail = Detail(team, booking.id if booking else None, evening.due(booking, at))
    return Step(Happening.OUT, kit, at, each.said, detail, assumed=moment.guessed)


def _add_instead(evening: Evening, each: Told, moment: _Moment) -> None:
    at = moment.at
    went, stayed = evening.kit(each.kits[0]), evening.kit(each.instead)
    given = evening.today(stayed.kit.id, EntryKind.GIVEN_OUT)
    booking = evening.booking_of(stayed.kit.id, at, each.team)
    others = evening.booking_of(went.kit.id, at)
    exchanged = any(other.instead == went.kit.label for other in evening.told)
    labels = {"label": went.kit.label, "other": stayed.kit.label}
    if booking is None and given is None:
        evening.asks.append(ToldAsk("planned", each.said, **labels))
        return
    if others is not None and others is not booking and not exchanged:
        evening.asks.append(ToldAsk("whose", each.said, **labels))
        return
    step = replace(
        _out(evening, went.kit.id, each, moment),
        what=Happening.INSTEAD,
        instead=stayed.kit.id,
    )
    if booking is not None:
        due = evening.due(booking, at)
        step = replace(step, detail=Detail(booking.team, booking.id, due))
    if given is not None:
        # It was noted as gone out, and was not: that is put right in the same go.
        at = at if moment.said else given.happened_at
        back = evening.today(stayed.kit.id, EntryKind.TAKEN_BACK)
        seqs = (*((back.seq,) if back else ()), given.seq)
        step = replace(
            step,
            at=at,
            detail=given.detail,
            cancels=seqs,
            cancelled_kit=stayed.kit.id,
            assumed=False,
        )
    evening.add(step)


def _add_passed(evening: Evening, each: Told) -> None:
    at, _, guessed = _moment(evening, each, out=each.at is None)
    team = evening.teams[each.team]
    for label in each.kits:
        kit = evening.kit(label).kit.id
        booking = evening.booking_of(kit, at, each.team)
        detail = Detail(team.id, booking.id if booking else None, evening.due(booking, at))
        out = evening.stands(kit, at).out
        what = Happening.PASSED if out else Happening.OUT
        evening.add(Step(what, kit, at, each.said, detail, assumed=guessed))


# -- back -----------------------------------------------------------------------------------------


def _add_back(evening: Evening, each: Told) -> None:
    if each.what is Happening.LATE:
        evening.asks += [ToldAsk("when", each.said, label) for label in each.kits]
        return
    at, said, guessed = _moment(evening, each, out=False)
    chosen = _those_out(evening, each, at)
    if not chosen:
        evening.asks.append(ToldAsk("not out", each.said))
    for kit in chosen:
        step = Step(Happening.BACK, kit, at, each.said, assumed=guessed)
        earlier = evening.today(kit, EntryKind.TAKEN_BACK)
        if earlier is not None and not evening.stands(kit, at).out and earlier.happened_at == at:
            continue
        if earlier is not None and said and not each.every:
            step = replace(step, cancels=(earlier.seq,))
        evening.add(step)


def _those_out(evening: Evening, each: Told, at: datetime) -> list[KitId]:
    if each.kits:
        return [evening.kit(label).kit.id for label in each.kits]
    others = {
        label
        for other in evening.told
        if other.what in (Happening.BACK, Happening.STILL_OUT, Happening.LATE)
        for label in other.kits
    }
    team = evening.teams[each.team].id if each.team else None
    return [
        kit
        for kit, now in evening.known.items()
        if now.kit.label not in others | set(each.but)
        and (stands := evening.stands(kit, at)).out
        and team in (None, stands.team)
        and _due_then(evening, stands)
    ]


def _due_then(evening: Evening, stands: Position) -> bool:
    """Say whether a kit was due back that day: "all back" doesn't mean a loan over days."""
    return stands.due is None or evening.calendar.day_of(stands.due) <= evening.day


# -- what was wrong -------------------------------------------------------------------------------


def _add_trouble(evening: Evening, each: Told) -> None:
    chosen = [evening.kit(label).kit.id for label in each.kits]
    for kit in chosen:
        at = _moment(evening, each, out=False).at
        if each.at is None:
            mine = [step.at for step in evening.steps if step.kit == kit]
            at = max(mine, default=min(at, evening.said_at))
        parts = _of_the_list(evening, kit, each.parts)
        detail = Detail(parts=parts, minutes=each.minutes)
        evening.add(Step(each.what, kit, at, each.said, detail))


def _of_the_list(evening: Evening, kit: KitId, told: Parts) -> Parts:
    """Return parts by the names that the kit's contents list has for them."""
    kit_type = evening.known[kit].kit.kit_type
    names = [name for name, _ in contents(evening.tx, evening.who.club, kit_type)]
    return added((), [(spelled(name, names), number) for name, number in told])


def _take_out(evening: Evening, each: Told) -> None:
    """Take back what was noted that day and wasn't so."""
    kinds = {EntryKind.SHORT}
    if each.of is Happening.FLAT:
        kinds = {EntryKind.RAN_FLAT, EntryKind.FOUND_FLAT}
    for label in each.kits:
        kit = evening.kit(label).kit.id
        found = [entry for kind in kinds if (entry := evening.today(kit, kind))]
        evening.steps += [
            Step(each.what, kit, entry.happened_at, each.said, cancels=(entry.seq,))
            for entry in found
        ]


# -- when -----------------------------------------------------------------------------------------


class _Moment(NamedTuple):
    """When something happened; whether that was `said` of it, or is only `guessed`."""

    at: datetime
    said: bool = False
    guessed: bool = False


def _moment(evening: Evening, each: Told, *, out: bool) -> _Moment:
    """Return when something happened.

    Without a time it is that of the others told of, else the session's start or end, else now.
    """
    if each.at is not None:
        return _Moment(evening.calendar.instant(evening.day, each.at), said=True)
    kind = Happening.OUT if out else Happening.BACK
    same = [one.at for one in evening.told if one.what is kind and one.at is not None]
    if same:
        return _Moment(evening.calendar.instant(evening.day, same[0]))
    over = [
        session.window.start if out else session.window.end
        for session in evening.calendar.sessions(evening.day, evening.day)
        if session.window.start <= evening.said_at
    ]
    return _Moment(min([*over[-1:], evening.said_at]), guessed=True)
