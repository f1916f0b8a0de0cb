"""A brick of constant properties in a film, by FiPy, beside the bench `packed`.

No test needs this. In a Python environment with fipy, numpy and scipy:

    python benches/peers/brick.py CELLS STEPS

CELLS along the shortest side of 100 x 140 x 180 mm, STEPS even steps over 2 h
(backward Euler, which is what FiPy's transient term is). Prints the error in the middle
as a share of the step and the time of the steps alone.
"""

import sys
import time

import numpy as np
from fipy import CellVariable, DiffusionTerm, FaceVariable, Grid3D, ImplicitSourceTerm, TransientTerm
from fipy.solvers.scipy import LinearCGSolver
from scipy.optimize import brentq

CELLS, STEPS = int(sys.argv[1]), int(sys.argv[2])
SIDES = (0.1, 0.14, 0.18)
K, C, FILM, END = 0.25, 5e5, 20.0, 7200.0

count = [max(1, round(s / (SIDES[0] / CELLS))) for s in SIDES]
size = [s / n for s, n in zip(SIDES, count)]
mesh = Grid3D(nx=count[0], ny=count[1], nz=count[2], dx=size[0], dy=size[1], dz=size[2])
left = CellVariable(mesh=mesh, value=1.0, hasOld=True)
# The film in series with half a cell, as a sink in the cells at the outside.
sink = np.zeros(mesh.numberOfCells)
at = np.unravel_index(np.arange(mesh.numberOfCells), count[::-1])[::-1]
for axis in range(3):
    coefficient = 1.0 / (1.0 / FILM + size[axis] / 2.0 / K) / size[axis]
    sink += coefficient * ((at[axis] == 0).astype(float) + (at[axis] == count[axis] - 1))
inside = FaceVariable(mesh=mesh, value=K)
inside.setValue(0.0, where=mesh.exteriorFaces)
equation = TransientTerm(coeff=C) == DiffusionTerm(coeff=inside) - ImplicitSourceTerm(
    coeff=CellVariable(mesh=mesh, value=sink)
)
solver = LinearCGSolver(tolerance=1e-6, iterations=1000)
begin = time.perf_counter()
for _ in range(STEPS):
    left.updateOld()
    equation.solve(var=left, dt=END / STEPS, solver=solver)
took = time.perf_counter() - begin


def series(half):
    bi, fo = FILM * half / K, K / C * END / half**2
    total = 0.0
    for n in range(60):
        root = brentq(lambda l: l * np.sin(l) - bi * np.cos(l), n * np.pi, n * np.pi + np.pi / 2)
        total += 4 * np.sin(root) / (2 * root + np.sin(2 * root)) * np.exp(-(root**2) * fo)
    return total


exact = np.prod([series(s / 2) for s in SIDES])
middle = np.asarray(left.value).reshape(count[::-1])
cut = tuple(slice((n - 1) // 2, n // 2 + 1) for n in count[::-1])
print(f"{CELLS} cells, {STEPS} steps: error {abs(middle[cut].mean() - exact):.1e}, {took:.2f} s")
