"""The addresses and names by which tablets on the workshop's network reach this computer."""

import ipaddress
import socket
import struct
import sys
from collections.abc import Iterable

import segno

THIS_COMPUTER = ("127.0.0.1", "localhost")
# Networks that a computer keeps inside itself, for containers and virtual machines: no tablet is on them.
_INSIDE_ONLY = ("docker", "br-", "veth", "virbr", "vmnet", "vboxnet", "lxc", "lxd", "podman", "cni")
_SIOCGIFADDR = 0x8915  # Linux, <linux/sockios.h>: the IPv4 address of an interface


def lan_addresses(interfaces: Iterable[tuple[str, str]], towards_network: str | None = None) -> list[str]:
    """The private IPv4 addresses among (interface, address) pairs, the likeliest for a tablet first.

    An address that a computer gives itself because nobody gave it one (169.254.…) counts only if it has no
    other. `towards_network` is the address that the computer uses to reach others.
    """
    usable = [
        address
        for name, address in interfaces
        if not name.startswith(_INSIDE_ONLY) and ipaddress.IPv4Address(address).is_private
    ]
    usable = [a for a in dict.fromkeys(usable) if not ipaddress.IPv4Address(a).is_loopback]
    given = [a for a in usable if not ipaddress.IPv4Address(a).is_link_local]
    return sorted(given or usable, key=lambda address: address != towards_network)


def own_names(hostname: str, full_name: str = "") -> list[str]:
    """This computer's names: as set, without its domain, as its network spells it, and by multicast DNS."""
    short = hostname.partition(".")[0].lower()
    names = [hostname.lower(), short, f"{short}.local", full_name.lower()]
    return [name for name in dict.fromkeys(names) if _is_a_name_of(short, name)]


def allowed_hosts(addresses: Iterable[str], names: Iterable[str]) -> list[str]:
    """What the server answers to on the workshop's network: itself, and nothing wider."""
    return list(dict.fromkeys([*THIS_COMPUTER, *addresses, *names]))


def find_addresses() -> list[str]:
    towards_network = _address_towards_network()
    interfaces = _interfaces()
    if towards_network and towards_network not in dict(map(reversed, interfaces)):
        interfaces.append(("", towards_network))
    return lan_addresses(interfaces, towards_network)


def find_names() -> list[str]:
    return own_names(socket.gethostname(), socket.getfqdn())


def qr_text(address: str) -> str:
    """A QR code for a terminal, two rows of squares a line, black on white whatever its colours."""
    rows = [list(row) for row in segno.make(address, micro=False).matrix_iter(border=4)]
    if len(rows) % 2:
        rows.append([0] * len(rows[0]))
    squares = {(0, 0): " ", (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}
    lines = (
        "".join(squares[bool(top), bool(bottom)] for top, bottom in zip(upper, lower, strict=True))
        for upper, lower in zip(rows[::2], rows[1::2], strict=True)
    )
    return "\n".join(f"\x1b[30;107m{line}\x1b[0m" for line in lines)


def _is_a_name_of(short: str, name: str) -> bool:
    # a computer without a proper name calls itself localhost, or an address spelt backwards
    return bool(short) and short != "localhost" and (name == short or name.startswith(f"{short}."))


def _interfaces() -> list[tuple[str, str]]:
    """(interface, IPv4 address) pairs."""
    if not sys.platform.startswith("linux"):
        found = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        return [("", str(entry[4][0])) for entry in found]
    import fcntl

    pairs = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asker:
        for _, name in socket.if_nameindex():
            request = struct.pack("256s", name.encode()[:15])
            try:
                answer = fcntl.ioctl(asker.fileno(), _SIOCGIFADDR, request)
            except OSError:  # an interface without an IPv4 address
                continue
            pairs.append((name, socket.inet_ntoa(answer[20:24])))
    return pairs


def _address_towards_network() -> str | None:
    # connecting a datagram socket sends nothing, only picks the interface; 192.0.2.1 is nobody's (RFC 5737)
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asker:
        try:
            asker.connect(("192.0.2.1", 9))
        except OSError:
            return None
        return str(asker.getsockname()[0])
