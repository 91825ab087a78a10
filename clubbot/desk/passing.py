"""From one team to the next, without the shelf in between."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.desk.acting import Who, deed
from clubbot.desk.finding import Named, find_giver, named
from clubbot.desk.fleet import Picture, picture
from clubbot.desk.giving import Handed, hand
from clubbot.desk.handover import about_now, booking_for
from clubbot.desk.outcomes import end_where_all_back
from clubbot.rules.model import KitId, Reason, Refused, TeamId
from clubbot.rules.permissions import Deed
from clubbot.rules.results import PassedOn, TeamNeeded, TeamRef
from clubbot.store import bookings
from clubbot.store.engine import Tx


@deed(Deed.PASS_ON)
def pass_on(tx: Tx, who: Who, text: str) -> PassedOn | TeamNeeded | Refused:
    """Pass kits from the team that has them to another, without the shelf in between.

    "Red to Blue" is all that Red has.
    """
    seen = picture(tx, who, about_now(tx, who))
    giver, rest = find_giver(text, seen.teams)
    wanted = named(rest, seen.kits, seen.teams)
    if isinstance(wanted, Refused):
        return wanted
    if giver is not None and not wanted.kits:
        theirs = tuple(now for now in seen.kits.values() if now.position.team == giver.id)
        if not theirs:
            return Refused(Reason.NOTHING_WITH, {"team": giver.name})
        wanted = wanted._replace(kits=theirs)
    if not wanted.kits:
        return Refused(Reason.UNKNOWN_KIT, {"word": ""})
    if wanted.team is None:
        refs = tuple(now.ref for now in wanted.kits)
        return TeamNeeded(refs, tuple(seen.teams.values()), passing=True)
    return _pass(tx, who, seen, wanted, wanted.team)


@deed(Deed.PASS_ON)
def pass_to(tx: Tx, who: Who, kit_ids: Sequence[KitId], team: TeamId) -> PassedOn | Refused:
    """Pass these kits on to a team."""
    seen = picture(tx, who, about_now(tx, who))
    if team not in seen.teams or any(kit not in seen.kits for kit in kit_ids):
        return Refused(Reason.OUT_OF_DATE)
    wanted = Named(tuple(seen.kits[kit] for kit in kit_ids), seen.teams[team], all=False)
    return _pass(tx, who, seen, wanted, seen.teams[team])


def _pass(tx: Tx, who: Who, seen: Picture, wanted: Named, team: TeamRef) -> PassedOn | Refused:
    if not_out := [now for now in wanted.kits if not now.position.out]:
        return Refused(Reason.NOT_OUT, {"labels": tuple(n.kit.label for n in not_out)})
    if any(now.position.team == team.id for now in wanted.kits):
        return Refused(Reason.ALREADY, {"what": "with team", "team": team.name})
    ids = tuple(now.kit.id for now in wanted.kits)
    before = {now.position.booking for now in wanted.kits}
    booking = booking_for(who, seen, wanted._replace(kits=()))
    givers = bookings.by_id(tx, who.club, [giver for giver in before if giver is not None])
    for giver in givers:
        bookings.give_up(tx, who.club, giver, ids)
    handed = Handed(booking, team, ids, passing=True, givers=tuple(givers.values()))
    result = hand(tx, who, seen.without(ids), handed)
    if isinstance(result, Refused):
        return result
    end_where_all_back(tx, who, dict(seen.kits), before, ids)
    return PassedOn(result.kits, team, result.due)
