"""Which addresses of a calendar are taken, and which machines they may lead to."""

from __future__ import annotations

import ipaddress
from typing import NamedTuple
from urllib.parse import urlsplit

LONGEST = 2000
_SCHEMES = {"http": "http", "https": "https", "webcal": "https", "webcals": "https"}
_NAT64 = ipaddress.ip_network("64:ff9b::/96")


class FeedAddress(NamedTuple):
    """Where a calendar is fetched; `host` is what may be shown, the rest may be a secret."""

    url: str
    host: str


def read_address(text: str) -> FeedAddress | None:
    """Return the address that a text is, or None where it is none that may be fetched.

    Taken are http and https, and webcal, which is read as https; with a host, no name or password
    in it, no spaces, at most 2000 characters. Where the host leads is for the fetching to check.
    """
    text = text.strip()
    if len(text) > LONGEST or not text.isprintable() or " " in text:
        return None
    try:
        parts = urlsplit(text)
        host, port = parts.hostname, parts.port
    except ValueError:
        return None
    scheme = _SCHEMES.get(parts.scheme.lower())
    if scheme is None or not host or port == 0 or "@" in parts.netloc or "\\" in text:
        return None
    return FeedAddress(parts._replace(scheme=scheme, fragment="").geturl(), host)


def public(address: str) -> bool:
    """Say whether an IP address is one of the open internet, also by what is wrapped in it.

    Private, loopback, link-local, shared, multicast and reserved ranges are not: IANA's registries
    of special-purpose addresses, as Python's `ipaddress` has them. IPv4 inside IPv6 (mapped, 6to4,
    NAT64) counts as the IPv4 address that it leads to.
    """
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return False
    if isinstance(found, ipaddress.IPv6Address):
        wrapped = found.ipv4_mapped or found.sixtofour
        if found in _NAT64:
            wrapped = ipaddress.IPv4Address(int(found) & 0xFFFFFFFF)
        if wrapped is not None:
            return public(str(wrapped))
        if found.is_site_local:
            return False
    special = found.is_multicast or found.is_reserved or found.is_unspecified or found.is_link_local
    return found.is_global and not special


def loopback(address: str) -> bool:
    """Say whether an IP address is this machine's own."""
    return ipaddress.ip_address(address.partition("%")[0]).is_loopback
