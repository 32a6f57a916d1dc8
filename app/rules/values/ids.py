"""Ids of marks: UUID version 7 (RFC 9562), so that marks made later sort later. The time and the random bits are handed in."""

RANDOM_BITS = 74


def mark_id(unix_ms: int, random_bits: int) -> str:
    """A UUIDv7 as 32 hex digits: 48 bits of Unix milliseconds, version 7, variant 10, 74 random bits."""
    high = random_bits >> 62 & 0xFFF
    low = random_bits & (1 << 62) - 1
    return f"{unix_ms & (1 << 48) - 1:012x}7{high:03x}{0x8 << 60 | low:016x}"
