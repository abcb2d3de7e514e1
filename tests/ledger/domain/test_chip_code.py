"""Chip codes against printed ones, and telegrams against sent ones."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.domain.chip_code import (
    HIGHEST_NUMBER,
    ChipKind,
    IsoCode,
    PrefixKind,
    chip_code,
    country_of,
)
from ledger.domain.chip_telegram import Telegram, em4100_bits, em4100_number, kermit
from ledger.errors import RuleError

# The same code in four forms. Source: ISO11784Tools, README (first row) and tests.
FOUR_FORMS = [
    ("999123456789012", "3E7.1CBE991A14", "8000F9DCBE991A14", "2858997D3B9F0001"),
    ("999012345678901", "3E7.02DFDC1C35", "8000F9C2DFDC1C35", "AC383BFB439F0001"),
    ("999012345678902", "3E7.02DFDC1C36", "8000F9C2DFDC1C36", "6C383BFB439F0001"),
    ("999012345678903", "3E7.02DFDC1C37", "8000F9C2DFDC1C37", "EC383BFB439F0001"),
    ("999012345678904", "3E7.02DFDC1C38", "8000F9C2DFDC1C38", "1C383BFB439F0001"),
    ("999012345678910", "3E7.02DFDC1C3E", "8000F9C2DFDC1C3E", "7C383BFB439F0001"),
]
# pm3, a general tool for transponders: `lf fdxb clone --country 999 --national 1337`
# in its public register of tests.
SENT = "00339a080402079f8040797788040201"
# From the same encoder, once it gave the telegram above.
ENCODED = {
    "999000000112233": ("0032d6dc0402079f80406253b8040201", 0xDC48),
    "999123456789012": ("0025158ccdf6779f80407a1ed8040201", 0xB70B),
}
# https://nigh.github.io/markdown/rfid-packet: version 06, number 001259E3.
EM4100 = "1111111110000001100000000000000011001010101010010111010011001000"

codes = st.builds(
    IsoCode, st.integers(0, 999), st.integers(0, HIGHEST_NUMBER), st.just(0x8000)
)


@pytest.mark.parametrize("forms", FOUR_FORMS, ids=lambda forms: forms[0])
@pytest.mark.parametrize("written", range(4))
def test_chip_code__reads_every_form_and_gives_the_others(forms, written):
    code = chip_code(forms[written]).iso
    assert (code.digits, code.dotted, code.left, code.right) == forms


@given(codes)
def test_chip_code__forms_lead_back_to_the_code(code):
    assert chip_code(code.digits).iso == code
    assert chip_code(code.dotted).iso == code
    for form in (code.left, code.right):
        try:
            assert chip_code(f"0x{form}").iso == code
        except RuleError as error:
            # The one way out: it can be read from both ends, and both are named.
            assert code.digits in str(error)  # noqa: PT017


@pytest.mark.parametrize(
    ("digits", "kind", "warned"),
    [
        # ICAR: 900 to 998 are makers, 999 is for tests.
        ("900000000000001", PrefixKind.MAKER, False),
        ("998000000000001", PrefixKind.MAKER, False),
        ("999000000000001", PrefixKind.TEST, True),
        # ISO 3166-1 numeric: Australia 036, Germany 276, Ireland 372.
        ("036000000000001", PrefixKind.COUNTRY, False),
        ("276000000000001", PrefixKind.COUNTRY, False),
        ("372098100000001", PrefixKind.COUNTRY, False),
        ("899000000000001", PrefixKind.UNKNOWN, True),
    ],
)
def test_chip_code__tells_country_maker_and_test(digits, kind, warned):
    code = chip_code(digits)
    assert code.iso.prefix_kind is kind
    assert bool(code.warnings) is warned


def test_chip_code__names_the_country_and_keeps_its_leading_zero():
    code = chip_code("036 000 000 000 001")
    assert code.says == "036 is Australia."
    assert code.text == "036000000000001"


def test_countries__reach_up_to_894_so_that_no_maker_is_one():
    # ISO 3166-1: the highest numeric code is 894, Zambia.
    assert [n for n in range(1000) if country_of(n)][-1] == 894


def test_chip_code__ends_at_38_bits():
    # 2^38 - 1 = 274877906943: ICAR's slides, and the check of ISO11784Tools.
    assert chip_code("900274877906943").iso.number == 2**38 - 1
    with pytest.raises(RuleError, match="274877906943"):
        chip_code("900274877906944")
    with pytest.raises(RuleError):
        chip_code("3E7.4000000000")


@pytest.mark.parametrize(
    "written",
    [
        "99912345678901",  # 14 digits
        "9991234567890123",  # 16
        "99912345678901O",  # a letter among the digits
        "3FF.0000000001",  # prefix 1023: no 15 digits say it
        "0000F9DCBE991A14",  # not for a living creature, from either end
        "",
        "IE TWK 19",
        "१२३४५६७८९०१२३४५",  # digits, but none that a scanner shows
    ],
)
def test_chip_code__refuses_what_is_none(written):
    with pytest.raises(RuleError) as refused:
        chip_code(written)
    assert refused.value.hint


def test_chip_code__refuses_64_bits_that_make_sense_from_both_ends():
    both = IsoCode(372, 0x0123450001)
    other = IsoCode.from_bits(int(f"{both.bits:064b}"[::-1], 2))
    with pytest.raises(RuleError) as refused:
        chip_code(f"0x{both.left}")
    assert both.digits in str(refused.value)
    assert other.digits in str(refused.value)


# Lengths 9, 10 and 15 are in use: animalstart.com; 10 characters at 125 kHz:
# eidap.com/iso.asp.
@pytest.mark.parametrize(
    ("written", "kind"),
    [
        ("123*456*789", ChipKind.NINE),
        ("012 345 678", ChipKind.NINE),
        ("06001259E3", ChipKind.TEN),
        ("41b2c3d4e5", ChipKind.TEN),
    ],
)
def test_chip_code__takes_older_chips_and_warns_that_not_every_scanner_sees_them(
    written, kind
):
    code = chip_code(written)
    assert code.kind is kind
    assert "scanner" in code.warnings[0]


# --- what a chip sends ---


def test_checksum__has_the_check_value_of_crc_16_kermit():
    # Catalogue of parametrised CRC algorithms: check value 0x2189.
    assert kermit(b"123456789") == 0x2189


def test_telegram__is_understood_as_it_was_sent():
    telegram = Telegram.from_hexadecimal(SENT)
    code = telegram.code
    assert (code.prefix, code.number, code.living) == (999, 1337, True)
    assert code.left == "8000F9C000000539"
    assert (telegram.checksum, telegram.trailer) == (0x1ED3, bytes(3))
    assert telegram.hexadecimal == SENT


@pytest.mark.parametrize("digits", ENCODED)
def test_telegram__is_sent_as_others_send_it(digits):
    telegram = Telegram(chip_code(digits).iso)
    assert (telegram.hexadecimal, telegram.checksum) == ENCODED[digits]


@given(codes, st.binary(min_size=3, max_size=3))
def test_telegram__says_what_it_was_given(code, trailer):
    telegram = Telegram(code, trailer)
    assert Telegram.from_bits(telegram.bits) == telegram


@given(codes, st.integers(0, 127))
def test_telegram__with_one_bit_flipped_is_refused(code, place):
    bits = Telegram(code).bits
    flipped = bits[:place] + str(1 - int(bits[place])) + bits[place + 1 :]
    unguarded = place >= 101 and (place - 101) % 9 != 8
    if unguarded:  # a bit of the trailer: the code is whole all the same
        assert Telegram.from_bits(flipped).code == code
    else:
        with pytest.raises(RuleError):
            Telegram.from_bits(flipped)


@given(codes, st.integers(0, 89), st.integers(1, 2**16 - 1))
def test_telegram__with_a_burst_of_wrong_bits_in_the_code_is_refused(code, at, burst):
    # A checksum of 16 bits sees every burst of up to 16 bits.
    bits = Telegram(code).bits
    places = [p for p in range(11, 101) if (p - 11) % 9 != 8][at : at + 16]
    wrong = list(bits)
    for number, place in enumerate(places):
        if burst >> number & 1:
            wrong[place] = str(1 - int(wrong[place]))
    if "".join(wrong) != bits:
        with pytest.raises(RuleError):
            Telegram.from_bits("".join(wrong))


def test_older_chip__is_understood_as_it_was_sent():
    assert f"{em4100_number(EM4100):010X}" == "06001259E3"
    assert em4100_bits(0x06001259E3) == EM4100


@given(st.integers(0, 2**40 - 1), st.integers(0, 63))
def test_older_chip__with_one_bit_flipped_is_refused(number, place):
    bits = em4100_bits(number)
    assert em4100_number(bits) == number
    flipped = bits[:place] + str(1 - int(bits[place])) + bits[place + 1 :]
    with pytest.raises(RuleError):
        em4100_number(flipped)
