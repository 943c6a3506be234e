"""What one request for hydrostatics may ask of a hull."""

from __future__ import annotations

import numpy as np
import pytest
from heelwright_service.core.errors import CoreError
from heelwright_service.core.hydrostatics_answer import HydrostaticsRequest, PlaneRequest, answer_hydrostatics
from heelwright_service.core.record import HullDocument, Station


def test_a_very_fine_hull_is_asked_for_fewer_planes_at_once() -> None:
    heights = np.linspace(0.0, 10.0, 400).tolist()
    contour = [(0.0, 0.0), *((8.0 + 0.001 * z, z) for z in heights)]
    hull = HullDocument([Station(x, contour) for x in np.linspace(0.0, 100.0, 500).tolist()])
    planes = [PlaneRequest(4.0)] * 1500
    with pytest.raises(CoreError) as caught:
        answer_hydrostatics(HydrostaticsRequest(100.0, planes, 1.025, hull))
    assert (caught.value.code, caught.value.pointer) == ("too-many-planes", "/planes")
    assert "at most" in caught.value.message
