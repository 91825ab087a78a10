"""Texts and entities, against TDLib's published test cases and python-telegram-bot's renderer.

Cases: github.com/tdlib/td, test/message_entities.cpp (parse_html, parse_markdown), error texts
and offsets as there. Bytes and UTF-16 units differ in them on purpose.
"""

from __future__ import annotations

import html
import re
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from telegram import Message as LibraryMessage
from telegram import MessageEntity
from telegram.helpers import escape_markdown

from demo.standin.entities import clean, formatted, found
from demo.standin.errors import ApiError
from demo.standin.markup_html import HtmlReader, utf16_length
from demo.standin.markup_markdown import read_markdown
from demo.standin.parameters import Params

FLAG = "🏟 🏟"

REFUSED_HTML = [
    (f"{FLAG}&lt;<abac>", 'Unsupported start tag "abac" at byte offset 13'),
    (f"{FLAG}&lt;<abac aba>", 'Unsupported start tag "abac" at byte offset 13'),
    (f"{FLAG}&lt;<i   =aba>", 'Empty attribute name in the tag "i" at byte offset 13'),
    (f"{FLAG}&lt;<i    aba>", 'Can\'t find end tag corresponding to start tag "i"'),
    (f"{FLAG}&lt;<i    aba  =  ", 'Unclosed start tag "i" at byte offset 13'),
    (f"{FLAG}&lt;<i    aba  =  190azAz-.,", "Unexpected end of name token at byte offset 27"),
    (f'{FLAG}&lt;<i    aba  =  "&lt;&gt;&quot;>', "Unclosed start tag at byte offset 13"),
    (f"{FLAG}&lt;</", "Unexpected end tag at byte offset 13"),
    (f"{FLAG}&lt;<b></b></", "Unexpected end tag at byte offset 20"),
    (f"{FLAG}&lt;<i>a</i   ", "Unclosed end tag at byte offset 17"),
    (
        f"{FLAG}&lt;<i>a</em   >",
        'Unmatched end tag at byte offset 17, expected "</i>", found "</em>"',
    ),
    ("<b>", 'Can\'t find end tag corresponding to start tag "b"'),
    ("3 < 4", 'Unsupported start tag "" at byte offset 2'),
    ("<span class='x'>a</span>", 'Tag "span" must have class "tg-spoiler" at byte offset 0'),
]


@pytest.mark.parametrize(("source", "reason"), REFUSED_HTML)
def test_bad_html_is_refused_in_the_platform_s_words(source: str, reason: str):
    with pytest.raises(ApiError, match=re.escape(f"can't parse entities: {reason}") + "$"):
        HtmlReader(source).read()


def entity(kind: str, offset: int, length: int, **more: Any) -> dict[str, Any]:
    return {"type": kind, "offset": offset, "length": length, **more}


READ_HTML = [
    ("&ge;&lt;&gt;&amp;&quot;&laquo;&#12345678;", '&ge;<>&"&laquo;&#12345678;', []),
    ("➡️ ➡️<i>➡️ ➡️</i>", "➡️ ➡️➡️ ➡️", [entity("italic", 5, 5)]),
    (f"{FLAG}<b>{FLAG}</b>", FLAG * 2, [entity("bold", 5, 5)]),
    ("<b>a<i>b</i></b>", "ab", [entity("italic", 1, 1), entity("bold", 0, 2)]),
    ("<b></b>a", "a", []),
    ("<a href=telegram.org>\t</a>", "\t", [entity("text_link", 0, 1, url="http://telegram.org/")]),
    ("<a>telegram.org </a>", "telegram.org ", []),
    ("<a>telegram.org</a>", "telegram.org",
     [entity("text_link", 0, 12, url="http://telegram.org/")]),
    ('<a href="tg://user?id=7">x</a>', "x", [entity("text_mention", 0, 1, user_id=7)]),
    ('<pre><code class="language-py">x</code></pre>', "x", [entity("pre", 0, 1, language="py")]),
    ("<blockquote expandable>q</blockquote>", "q", [entity("expandable_blockquote", 0, 1)]),
    ("<tg-spoiler>s</tg-spoiler><s>d</s><u>u</u>", "sdu",
     [entity("spoiler", 0, 1), entity("strikethrough", 1, 1), entity("underline", 2, 1)]),
    ("&#65;&#x42;&lt", "AB<", []),
]  # fmt: skip


@pytest.mark.parametrize(("source", "text", "entities"), READ_HTML)
def test_html_becomes_text_and_entities(source: str, text: str, entities: list[Any]):
    assert HtmlReader(source).read() == (text, entities)


REFUSED_MARKDOWN = [
    (f"{FLAG}_abacaba", "Can't find end of Italic entity at byte offset 9"),
    (f"{FLAG}_abac * asd ", "Can't find end of Bold entity at byte offset 15"),
    (f"{FLAG}_abac * asd _", "Can't find end of Italic entity at byte offset 21"),
    (f"{FLAG}`", "Can't find end of Code entity at byte offset 9"),
    (f"{FLAG}```", "Can't find end of Pre entity at byte offset 9"),
    (f"{FLAG}```a ", "Can't find end of PreCode entity at byte offset 9"),
    (f"{FLAG}__{FLAG}_", "Can't find end of Italic entity at byte offset 20"),
    *[
        (c, f"Character '{c}' is reserved and must be escaped with the preceding '\\'")
        for c in "]()#+-=|{}.!"
    ],
]


@pytest.mark.parametrize(("source", "reason"), REFUSED_MARKDOWN)
def test_bad_markdown_is_refused_in_the_platform_s_words(source: str, reason: str):
    with pytest.raises(ApiError, match=re.escape(reason) + "$"):
        read_markdown(source, modern=True)


READ_MARKDOWN = [
    ("*b _i_*", "b i", [entity("italic", 2, 1), entity("bold", 0, 3)]),
    ("__u__ ~s~ ||p||", "u s p",
     [entity("underline", 0, 1), entity("strikethrough", 2, 1), entity("spoiler", 4, 1)]),
    ("```py\nx```", "x", [entity("pre", 0, 1, language="py")]),
    ("`a*b`", "a*b", [entity("code", 0, 3)]),
    (r"[t](http://x.org/a\)b)", "t", [entity("text_link", 0, 1, url="http://x.org/a)b")]),
    (">q\n>r\nend", "q\nr\nend", [entity("blockquote", 0, 3)]),
]  # fmt: skip


@pytest.mark.parametrize(("source", "text", "entities"), READ_MARKDOWN)
def test_markdown_becomes_text_and_entities(source: str, text: str, entities: list[Any]):
    assert read_markdown(source, modern=True) == (text, entities)


def test_the_older_markdown_still_reads():
    assert read_markdown("*b* _i_ [t](x.org) a\\_b", modern=False) == (
        "b i t a_b",
        [
            entity("bold", 0, 1),
            entity("italic", 2, 1),
            entity("text_link", 4, 1, url="http://x.org/"),
        ],
    )
    with pytest.raises(ApiError, match="end of the entity starting at byte offset 2"):
        read_markdown("a *b", modern=False)


anything = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)


@given(anything)
def test_escaped_text_comes_out_as_it_went_in(text: str):
    text = clean(text)
    assert HtmlReader(html.escape(text)).read() == (text, [])
    assert read_markdown(escape_markdown(text, 2), modern=True) == (text, [])


pieces = st.recursive(
    st.text(st.sampled_from("ab <&>🏟é\n"), min_size=1, max_size=6).map(html.escape),
    lambda inner: st.builds(
        lambda tag, parts: f"<{tag}>{''.join(parts)}</{tag}>",
        st.sampled_from(["b", "i", "u", "s", "tg-spoiler"]),
        st.lists(inner, min_size=1, max_size=3),
    ),
    max_leaves=8,
)


@given(st.lists(pieces, min_size=1, max_size=4))
def test_the_library_writes_the_same_html_back(parts: list[str]):
    """What python-telegram-bot makes of our entities reads as the same entities again."""
    text, entities = formatted(Params({"t": "".join(parts), "parse_mode": "HTML"}), "t", "e")
    kinds = [e["type"] for e in entities]
    assume(text and len(kinds) == len(set(kinds)))  # it can't write one kind inside itself
    marked = [MessageEntity(**e) for e in entities]
    message = LibraryMessage(1, None, None, text=text, entities=marked)
    again = formatted(Params({"t": message.text_html, "parse_mode": "HTML"}), "t", "e")
    assert again == (text, entities)


def test_lengths_are_utf16_units():
    assert utf16_length("aé🏟") == 4


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("/book@club_kit_bot D", [("bot_command", 0, 18)]),
        ("please /book", [("bot_command", 7, 5)]),
        ("a/b /x/y", []),
        ("ask @maya_s or x@y.org", [("mention", 4, 7), ("email", 15, 7)]),
        ("🏟 https://x.org/a. #tag", [("url", 3, 15), ("hashtag", 20, 4)]),
    ],
)
def test_commands_mentions_and_links_are_found(text: str, kinds: list[Any]):
    assert [(e["type"], e["offset"], e["length"]) for e in found(text, [])] == kinds


def test_control_and_direction_characters_are_cleaned_as_the_platform_does():
    """TDLib, td/telegram/misc.cpp, clean_input_string; from memory."""
    assert clean("a\x00b\r\nc\u202ed\u0333") == "a b\ncd"
