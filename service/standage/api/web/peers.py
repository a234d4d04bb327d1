"""From which address somebody asks, as far as requests are counted by it."""

from ipaddress import IPv6Address, ip_address, ip_network

_LONGEST = 64
_PREFIX_BITS = 64
"""Of an IPv6 address: what one household or one phone is given to choose addresses
from.
"""


def peer_of(host: str, forwarded: str, *, trusted_proxy: str | None) -> str:
    """Return who asks: the other end of the line, or whom the trusted proxy says it
    forwards for.

    That is the last word of what was ``forwarded``: what stands before it came from the
    caller and may be invented.
    """
    own = counted_as(host)
    if trusted_proxy is None or own != counted_as(trusted_proxy):
        return own
    _, _, last = forwarded.rpartition(",")
    told = last.strip()
    return counted_as(told) if told else own


def counted_as(address: str) -> str:
    """Return by what an address is counted: an IPv4 address by itself, an IPv6 one by
    its first 64 bits.

    >>> (
    ...     counted_as("192.0.2.7"),
    ...     counted_as("::ffff:192.0.2.7"),
    ...     counted_as("[2001:db8:1:2:3::4]:443"),
    ... )
    ('192.0.2.7', '192.0.2.7', '2001:db8:1:2::/64')
    """
    try:
        known = ip_address(_bare(address))
    except ValueError:
        return address[:_LONGEST]
    if isinstance(known, IPv6Address):
        if known.ipv4_mapped is not None:
            return str(known.ipv4_mapped)
        return str(ip_network((int(known), _PREFIX_BITS), strict=False))
    return str(known)


def _bare(address: str) -> str:
    """Return an address without a port, brackets or the name of an interface."""
    if address.startswith("["):
        address = address[1:].partition("]")[0]
    elif address.count(":") == 1:
        address = address.partition(":")[0]
    return address.partition("%")[0]
