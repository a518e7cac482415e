"""The digest of a document against the values that RFC 8785 itself publishes.

A. Rundgren, B. Jordan, S. Erdtman: JSON Canonicalization Scheme (JCS), RFC 8785, June 2020.
Our function gives a SHA-256, so each test takes the SHA-256 of the bytes that the RFC
prints; SHA-256 itself is checked by the "abc" of FIPS 180-4's published examples.
"""

import hashlib
import json
import struct

import pytest
import rfc8785

from planner.engine.reading import canonical_sha256

# Section 3.2.2, the sample object as it is written there.
SAMPLE = r"""{
  "numbers": [333333333.33333329, 1E30, 4.50,
              2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"""
# Section 3.2.4, the bytes of the same object after sorting and UTF-8 generation.
SAMPLE_BYTES = bytes.fromhex("""
    7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72
    75 65 2c 66 61 6c 73 65 5d 2c 22 6e 75 6d 62 65 72 73 22 3a
    5b 33 33 33 33 33 33 33 33 33 2e 33 33 33 33 33 33 33 2c 31
    65 2b 33 30 2c 34 2e 35 2c 30 2e 30 30 32 2c 31 65 2d 32 37
    5d 2c 22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30
    30 66 5c 6e 41 27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22 7d
""")

# Section 3.2.3: names to sort, and the order of their values after sorting.
SORTING = r"""{
  "\u20ac": "Euro Sign",
  "\r": "Carriage Return",
  "\ufb33": "Hebrew Letter Dalet With Dagesh",
  "1": "One",
  "\ud83d\ude00": "Emoji: Grinning Face",
  "\u0080": "Control",
  "\u00f6": "Latin Small Letter O With Diaeresis"
}"""
SORTED_VALUES = [
    "Carriage Return",
    "One",
    "Control",
    "Latin Small Letter O With Diaeresis",
    "Euro Sign",
    "Emoji: Grinning Face",
    "Hebrew Letter Dalet With Dagesh",
]

# Appendix B: IEEE 754 double precision, bits in hexadecimal, and the JSON text.
NUMBERS = """
    0000000000000000 0
    8000000000000000 0
    0000000000000001 5e-324
    8000000000000001 -5e-324
    7fefffffffffffff 1.7976931348623157e+308
    ffefffffffffffff -1.7976931348623157e+308
    4340000000000000 9007199254740992
    c340000000000000 -9007199254740992
    4430000000000000 295147905179352830000
    44b52d02c7e14af5 9.999999999999997e+22
    44b52d02c7e14af6 1e+23
    44b52d02c7e14af7 1.0000000000000001e+23
    444b1ae4d6e2ef4e 999999999999999700000
    444b1ae4d6e2ef4f 999999999999999900000
    444b1ae4d6e2ef50 1e+21
    3eb0c6f7a0b5ed8c 9.999999999999997e-7
    3eb0c6f7a0b5ed8d 0.000001
    41b3de4355555553 333333333.3333332
    41b3de4355555554 333333333.33333325
    41b3de4355555555 333333333.3333333
    41b3de4355555556 333333333.3333334
    41b3de4355555557 333333333.33333343
    becbf647612f3696 -0.0000033333333333333333
    43143ff3c1cb0959 1424953923781206.2
"""
NOT_JSON = {"NaN": "7fffffffffffffff", "Infinity": "7ff0000000000000"}


def sha256(canonical: bytes) -> str:
    return hashlib.sha256(canonical).hexdigest()


def double(bits: str) -> float:
    [number] = struct.unpack(">d", bytes.fromhex(bits))
    return number


def test_the_digest_is_the_published_one_of_sha256_for_abc():
    # FIPS 180-4 example, "SHA256.pdf" of NIST's Examples with Intermediate Values.
    expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"

    assert sha256(b"abc") == expected


def test_the_sample_object_of_the_rfc_has_the_digest_of_its_published_bytes():
    assert canonical_sha256(json.loads(SAMPLE)) == sha256(SAMPLE_BYTES)


def test_names_are_sorted_by_utf16_code_units_as_in_the_rfc():
    names = {value: name for name, value in json.loads(SORTING).items()}
    ordered = {names[value]: value for value in SORTED_VALUES}
    published = json.dumps(ordered, ensure_ascii=False, separators=(",", ":")).encode()

    assert canonical_sha256(json.loads(SORTING)) == sha256(published)


@pytest.mark.parametrize(("bits", "text"), [line.split() for line in NUMBERS.strip().splitlines()])
def test_numbers_are_written_as_in_appendix_b(bits, text):
    assert canonical_sha256({"n": double(bits)}) == sha256(b'{"n":%s}' % text.encode())


@pytest.mark.parametrize("bits", NOT_JSON.values(), ids=NOT_JSON)
def test_nan_and_infinity_have_no_digest_as_in_appendix_b(bits):
    with pytest.raises(rfc8785.CanonicalizationError):
        canonical_sha256({"n": double(bits)})
