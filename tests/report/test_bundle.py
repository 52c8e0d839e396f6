from __future__ import annotations

import base64
import gzip

from dialopt.report.bundle import bundle


def test_the_packed_code_unpacks_to_its_source() -> None:
    plotting = bundle()
    assert gzip.decompress(base64.b64decode(plotting.packed)).decode() == plotting.source
    assert "plotly.js v" in plotting.source[:100]
    assert len(plotting.packed) < 2_500_000
