"""What a chip sends to a scanner, bit by bit.

FDX-B (ISO 11785, 134.2 kHz): 128 bits, which the chip repeats: a header of ten 0
and a 1; 8 bytes of code, 2 of checksum, 3 of trailer, each with its lowest bit
first and followed by a control bit 1. The checksum is CRC-16/KERMIT over the code
bytes only; nothing guards the trailer
(https://www.priority1design.com.au/fdx-b_animal_identification_protocol.html).

EM4100 (125 kHz, one of the older chips): 64 bits: nine 1; ten rows of 4 bits with
even parity; 4 column parities; a 0 (https://nigh.github.io/markdown/rfid-packet).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from ledger.domain.chip_code import IsoCode, mirrored
from ledger.errors import RuleError

_HEADER = "0" * 10 + "1"
_BYTES = 13
"""8 of code, 2 of checksum, 3 of trailer."""
_POLYNOMIAL = 0x8408
"""x^16 + x^12 + x^5 + 1, mirrored."""


@dataclass(frozen=True, slots=True)
class Telegram:
    """An FDX-B telegram."""

    code: IsoCode
    trailer: bytes = bytes(3)
    """No checksum guards it."""

    @property
    def checksum(self) -> int:
        """CRC-16/KERMIT of the 8 code bytes."""
        return kermit(self._code_bytes)

    @property
    def _code_bytes(self) -> bytes:
        # The last bit of the code is sent first.
        return self.code.bits.to_bytes(8, "little")

    @property
    def bits(self) -> str:
        """All 128 as 0 and 1, in the order in which they are sent."""
        payload = self._code_bytes + self.checksum.to_bytes(2, "little") + self.trailer
        return _HEADER + "".join(f"{mirrored(byte, 8):08b}1" for byte in payload)

    @property
    def hexadecimal(self) -> str:
        """All 128 as 32 hexadecimal digits."""
        return f"{int(self.bits, 2):032x}"

    @classmethod
    def from_bits(cls, bits: str) -> Telegram:
        """Understand a telegram.

        Args:
            bits: 128 of 0 and 1, the header first.

        Raises:
            RuleError: header, control bits or checksum are not as they must be.
        """
        if len(bits) != 128 or not bits.startswith(_HEADER):
            raise _damaged("it does not begin as FDX-B does")
        frames = [bits[at : at + 9] for at in range(len(_HEADER), 128, 9)]
        if not all(frame.endswith("1") for frame in frames):
            raise _damaged("a control bit is missing")
        payload = bytes(int(frame[7::-1], 2) for frame in frames)
        code, checksum = payload[:8], int.from_bytes(payload[8:10], "little")
        if kermit(code) != checksum:
            raise _damaged("its checksum does not fit")
        return cls(IsoCode.from_bits(int.from_bytes(code, "little")), payload[10:])

    @classmethod
    def from_hexadecimal(cls, text: str) -> Telegram:
        """Understand a telegram of 32 hexadecimal digits.

        Raises:
            RuleError: as `from_bits`, or these are not 32 such digits.
        """
        if not re.fullmatch(r"[0-9a-fA-F]{32}", text):
            raise _damaged("it is not 32 hexadecimal digits")
        return cls.from_bits(f"{int(text, 16):0128b}")


def kermit(message: bytes) -> int:
    """CRC-16/KERMIT; 0x2189 for b"123456789"."""
    register = 0
    for byte in message:
        register ^= byte
        for _ in range(8):
            carry = register & 1
            register >>= 1
            if carry:
                register ^= _POLYNOMIAL
    return register


def em4100_bits(number: int) -> str:
    """The 64 bits of an EM4100 chip.

    Args:
        number: 40 bits: 8 of version, 32 of number.
    """
    rows = [f"{number >> shift & 0xF:04b}" for shift in range(36, -4, -4)]
    columns = "".join(_parity("".join(row[at] for row in rows)) for at in range(4))
    return "1" * 9 + "".join(row + _parity(row) for row in rows) + columns + "0"


def em4100_number(bits: str) -> int:
    """The 40-bit number of an EM4100 chip.

    Raises:
        RuleError: header, a parity or the stop bit is not as it must be.
    """
    if len(bits) != 64 or not bits.startswith("1" * 9) or not bits.endswith("0"):
        raise _damaged("it does not begin or end as EM4100 does")
    rows = [bits[at : at + 5] for at in range(9, 59, 5)]
    number = int("".join(row[:4] for row in rows), 2)
    if em4100_bits(number) != bits:
        raise _damaged("a parity does not fit")
    return number


def _parity(bits: str) -> str:
    """What makes the number of 1 even."""
    return str(bits.count("1") % 2)


def _damaged(why: str) -> RuleError:
    return RuleError(
        f"What the chip sent is not whole: {why}.",
        "Hold the scanner closer and read again.",
    )
