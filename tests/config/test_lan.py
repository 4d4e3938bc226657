"""Which names and addresses the workshop's network may use, and the QR code that spells them."""

from __future__ import annotations

import re

import pytest
from PIL import Image

from config import lan


def test_only_private_addresses_of_real_interfaces_count() -> None:
    interfaces = [
        ("lo", "127.0.0.1"),
        ("eth0", "192.168.1.20"),
        ("wlan0", "10.0.0.7"),
        ("docker0", "172.17.0.1"),
        ("virbr0", "192.168.122.1"),
        ("ppp0", "8.8.4.4"),
    ]
    assert lan.lan_addresses(interfaces) == ["192.168.1.20", "10.0.0.7"]


def test_the_address_that_reaches_others_comes_first() -> None:
    interfaces = [("eth1", "10.9.0.2"), ("eth0", "192.168.1.20")]
    assert lan.lan_addresses(interfaces, "192.168.1.20") == ["192.168.1.20", "10.9.0.2"]


def test_an_address_found_twice_is_shown_once() -> None:
    assert lan.lan_addresses([("eth0", "192.168.1.20"), ("", "192.168.1.20")]) == ["192.168.1.20"]


def test_a_self_given_address_counts_only_where_there_is_no_other() -> None:
    self_given = ("eth0", "169.254.10.1")
    assert lan.lan_addresses([self_given]) == ["169.254.10.1"]
    assert lan.lan_addresses([self_given, ("wlan0", "192.168.1.20")]) == ["192.168.1.20"]


def test_a_computer_on_no_network_has_no_address() -> None:
    assert lan.lan_addresses([("lo", "127.0.0.1")]) == []


@pytest.mark.parametrize(
    ("hostname", "full_name", "names"),
    [
        ("Office-PC", "office-pc.workshop.lan", ["office-pc", "office-pc.local", "office-pc.workshop.lan"]),
        ("office.lan", "office.lan", ["office.lan", "office", "office.local"]),
        ("office", "localhost", ["office", "office.local"]),
        ("office", "1.0.0.127.in-addr.arpa", ["office", "office.local"]),
        ("office", "officeparty.example", ["office", "office.local"]),
        ("localhost", "localhost", []),
        ("", "", []),
    ],
)
def test_names_are_those_of_this_computer(hostname: str, full_name: str, names: list[str]) -> None:
    assert lan.own_names(hostname, full_name) == names


def test_the_server_answers_to_itself_and_nothing_wider() -> None:
    hosts = lan.allowed_hosts(["192.168.1.20"], ["office", "office.local"])
    assert hosts == ["127.0.0.1", "localhost", "192.168.1.20", "office", "office.local"]


def test_this_computers_addresses_are_read_without_error() -> None:
    for address in lan.find_addresses():
        assert re.fullmatch(r"\d+\.\d+\.\d+\.\d+", address)


def test_the_qr_code_in_the_terminal_reads_as_the_address() -> None:
    zxingcpp = pytest.importorskip(
        "zxingcpp", reason="zxing-cpp is not installed; nothing else reads QR codes"
    )
    address = "http://192.168.1.20:8000/"
    (found,) = zxingcpp.read_barcodes(_picture(lan.qr_text(address)))
    assert found.text == address


def _picture(text: str) -> Image.Image:
    """What a terminal shows: each character two squares high, black on white."""
    lines = [re.fullmatch(r"\x1b\[30;107m(.*)\x1b\[0m", line)[1] for line in text.splitlines()]  # type: ignore[index]
    picture = Image.new("L", (len(lines[0]), 2 * len(lines)), 255)
    for y, line in enumerate(lines):
        for x, square in enumerate(line):
            picture.putpixel((x, 2 * y), 0 if square in "▀█" else 255)
            picture.putpixel((x, 2 * y + 1), 0 if square in "▄█" else 255)
    return picture.resize((picture.width * 6, picture.height * 6), Image.Resampling.NEAREST)
