"""What a DS18B20 holds in its memory, and how the kernel's `w1_slave` shows it.

After drivers/w1/slaves/w1_therm.c and the DS18B20's data sheet.
"""

POWER_ON = bytes.fromhex("50054b467fff0c10")  # DS18B20 data sheet, table of the scratchpad at power-up
STARVED = bytes.fromhex("ff074b467fff0c10")  # Linux w1_therm: 127.94 °C with 0c, when its power broke down


def crc8(data: bytes) -> int:
    """The 1-Wire CRC: x⁸ + x⁵ + x⁴ + 1, low bit first (Maxim application note 27)."""
    crc = 0
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = (crc >> 1) ^ 0x8C if crc & 1 else crc >> 1
    return crc


def scratchpad(celsius: float, bits: int = 12) -> bytes:
    """The eight bytes that a DS18B20 holds after a conversion (data sheet, memory map)."""
    count = round(celsius * 16) & 0xFFFF & ~((1 << (12 - bits)) - 1)
    return bytes(
        [count & 0xFF, count >> 8, 0x4B, 0x46, ((bits - 9) << 5) | 0x1F, 0xFF, 0x10 - (count & 0xF), 0x10]
    )


def shown(memory: bytes, *, crc: int | None = None, kept: bytes | None = None) -> str:
    """The text of `w1_slave`: the bytes just read, their checksum, and the bytes of the last good read."""
    read = memory + bytes([crc8(memory) if crc is None else crc])
    good = read[8] == crc8(memory)
    kept = read if good or kept is None else kept + bytes([crc8(kept)])
    return (
        f"{read.hex(' ')} : crc={crc8(memory):02x} {'YES' if good else 'NO'}\n"
        f"{kept.hex(' ')} t={millidegrees(read)}\n"
    )


def millidegrees(memory: bytes) -> int:
    """As the kernel works it out of the first two bytes; C truncates towards zero."""
    return int(int.from_bytes(memory[:2], "little", signed=True) * 1000 / 16)
