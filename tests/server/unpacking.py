"""Read arrays as their format is described, with nothing of the writer's own."""

import json
from typing import Any

import numpy as np


def unpacked(data: bytes) -> tuple[dict[str, Any], dict[str, np.ndarray]]:
    assert data[:8] == b"AANPLNT1"
    length = int.from_bytes(data[8:12], "little")
    header = json.loads(data[12 : 12 + length])
    start = -(-(12 + length) // 8) * 8
    arrays = {}
    for name, entry in header["arrays"].items():
        assert entry["offset"] % 8 == 0
        count = int(np.prod(entry["shape"]))
        block = np.frombuffer(data, f"<{entry['type']}", count, start + entry["offset"])
        arrays[name] = block.reshape(entry["shape"])
    return header["about"], arrays
