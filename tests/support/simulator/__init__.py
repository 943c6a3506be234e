"""A simulator of inclining tests, independent of the service: other mathematics, nothing imported from it.

Hulls and tanks are closed surfaces of triangles cut exactly by the water plane; the ship floats to full equilibrium of
draught, trim and heel in every state, with the liquids moving. `simulate` gives a test record and the truth behind it.
"""

from .families import FAMILIES, hull_of
from .hydrostatics import plane_of, table_rows
from .mesh import mesh_from_document
from .noise import Noise, noisy_record
from .simulated import Options, Simulated, simulate

__all__ = [
    "FAMILIES",
    "Noise",
    "Options",
    "Simulated",
    "hull_of",
    "mesh_from_document",
    "noisy_record",
    "plane_of",
    "simulate",
    "table_rows",
]
