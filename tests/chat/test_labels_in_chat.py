"""Labels, losses and files as people meet them: printed, scanned, noted, sent and given out."""

from __future__ import annotations

import pypdfium2
import zxingcpp

from tests.chat.played import Club


def _file(club: Club, who: str, name: str) -> bytes:
    """Return the newest file of this name that the bot sent to somebody."""
    for message in reversed(club.private(who).visible):
        found = message.content.get("document")
        if message.from_bot and found and found["file_name"] == name:
            return club.standin.platform.files.by_id[found["file_id"]].content
    raise AssertionError(f"no {name} came")


async def _links(club: Club, wish: str) -> list[str]:
    """Have the leader print labels; return what a telephone reads from them, in their order."""
    await club.says("Nora", f"/labels {wish}")
    club.answers("Nora", "Print at 100 %")
    read: list[str] = []
    with pypdfium2.PdfDocument(_file(club, "Nora", "labels.pdf")) as pdf:
        for page in pdf:
            codes = zxingcpp.read_barcodes(page.render(scale=3).to_pil())
            codes.sort(key=lambda code: (code.position.top_left.y // 50, code.position.top_left.x))
            read += [code.text for code in codes]
    return read


async def test_a_printed_label_opens_the_kits_card_from_handing_out_to_back(club: Club) -> None:
    (link,) = await _links(club, "tray D")
    await club.at("2026-10-16 15:30")
    await club.opens("Hana", link)
    card = club.answers("Hana", "Kit D", "On its shelf")
    assert card.buttons == ["Give out", "Something is wrong"]
    await club.presses("Hana", "Give out")
    await club.presses("Hana", "Red")
    club.sees("Hana", "Out: D with Red")
    await club.opens("Sam", link)
    assert club.answers("Sam", "Kit D", "Out with Red").buttons == [
        "Kit is back",
        "Something is wrong",
    ]
    await club.presses("Sam", "Kit is back")
    club.answers("Sam", "Thanks", "noted as back")
    await club.opens("Nora", link)
    assert club.sees("Nora", "nobody has looked yet").buttons[0] == "Take back"
    await club.presses("Nora", "Take back")
    club.sees("Nora", "Back: D")


async def test_a_stranger_reads_whose_it_is_and_where_to_take_it_and_nothing_else(
    club: Club,
) -> None:
    (link,) = await _links(club, "tablet D")
    await club.says("Nora", "/settings hand in the school office")
    await club.opens("Zed", link)
    seen = club.answers("Zed", "This belongs to Robot club")
    assert seen.text == (
        "This belongs to Robot club. Please hand it in at the school office, or give it to "
        "Nora Quinn. Thank you."
    )
    assert seen.buttons == []
    club.sees("Nora", "Somebody from outside the club scanned kit D's tablet")


async def test_what_is_wrong_with_a_scanned_kit_is_typed_without_its_label(club: Club) -> None:
    (link,) = await _links(club, "unit E")
    await club.opens("Sam", link)
    await club.presses("Sam", "Something is wrong")
    club.answers("Sam", "What is wrong with kit E?")
    await club.says("Sam", "the left wheel is stuck")
    club.answers("Sam", "Fault", "kit E")


async def test_a_mix_of_unit_and_tablet_is_noted_and_asked_about_after_the_session(
    club: Club,
) -> None:
    links = await _links(club, "units tablets D F")
    await club.at("2026-10-16 15:30")
    await club.says("Hana", "/out D Red")
    await club.opens("Hana", links[0])
    await club.opens("Hana", links[3])
    club.answers("Hana", "You scanned unit D and tablet F")
    await club.presses("Hana", "Yes, note the mix")
    club.answers("Hana", "Noted: unit D with tablet F")
    await club.at("2026-10-16 18:00")
    club.sees("Owen", "unit D with tablet F", "Is each back with its own kit?")
    await club.presses("Owen", "Yes")
    club.sees("Owen", "back with their own kits")


async def test_a_sheet_that_is_not_known_is_chosen_from_those_that_are(club: Club) -> None:
    await club.says("Nora", "/labels 9x9")
    shown = club.answers("Nora", "I don't know that sheet")
    assert "A4: 7x3 63.5x38.1 mm" in shown.buttons
    await club.presses("Nora", "Letter: 10x3 66.7x25.4 mm")
    club.sees("Nora", "24 labels, Letter, 10x3 66.7x25.4 mm")


async def test_a_lost_tablet_asks_for_pictures_of_children_and_says_whom_to_tell_today(
    club: Club,
) -> None:
    await club.says("Owen", "/lost tablet D stolen: from the van")
    noted = club.answers("Owen", "L1", "the tablet of kit D, stolen", "Last seen: from the van")
    assert "tell the school's IT and its data protection person today" in noted.text
    assert noted.buttons == ["Pictures: yes", "No", "Don't know", "It is found"]
    club.sees("Nora", "Owen noted", "L1")
    club.hears_nothing("Hana")
    await club.presses("Owen", "Pictures: yes")
    club.answers("Owen", "72 hours")
    await club.says("Nora", "/lost")
    club.answers("Nora", "Pictures of children on the tablet: yes")
    await club.presses("Nora", "L1 is found")
    club.answers("Nora", "is found, L1 is closed")


async def test_files_go_out_and_come_back_without_a_change_and_a_changed_one_after_a_yes(
    club: Club,
) -> None:
    await club.says("Nora", "/export")
    club.sees("Nora", "in 6 files")
    fleet = _file(club, "Nora", "fleet.csv")
    assert fleet.startswith(b"\xef\xbb\xbflabel,kit type,place\r\n")
    club.standin.send_document("Nora", "fleet.csv", fleet)
    await club.settle()
    club.answers("Nora", "Nothing to change: all 8 rows")
    changed = fleet.replace(b"B,robot kit,", b"B,robot kit,'=shelf") + b"I,robot kit,\r\n"
    club.standin.send_document("Nora", "fleet.csv", changed)
    await club.settle()
    shown = club.answers("Nora", "1 new, 1 changed, 7 as they are", "place empty → =shelf")
    assert shown.buttons == ["Yes, take it in", "No"]
    await club.presses("Nora", "Yes, take it in")
    club.answers("Nora", "Taken in: 1 new, 1 changed")
    await club.says("Nora", "/export")
    assert b"B,robot kit,'=shelf\r\n" in _file(club, "Nora", "fleet.csv")


async def test_a_file_with_wrong_rows_or_no_file_of_ours_changes_nothing(club: Club) -> None:
    await club.says("Nora", "/import")
    club.answers("Nora", "fleet.csv: label, kit type, place")
    for content, fragment in (
        (b"label,kit type,place\nZ,no such,\n", "fleet.csv, row 2: there is no kit type no such"),
        (b"label,kit type\n", "must have these columns: label, kit type, place"),
        ("label,kit type,place\nÜ,robot kit,\n".encode("latin-1"), "Save it as CSV in UTF-8"),
        (b"x" * 300_000, "too large"),
    ):
        club.standin.send_document("Nora", "fleet.csv", content)
        await club.settle()
        club.answers("Nora", fragment)
    club.standin.send_document("Sam", "fleet.csv", b"label,kit type,place\nZ,robot kit,\n")
    await club.settle()
    assert "Z" not in club.answers("Sam").text
