"""What holds for every solution."""

import math

import numpy as np


def check_power_and_impedance(flow):
    """Loss from |J|^2 equals terminal power; the impedance matrix is symmetric and passive."""
    fields = flow.fields
    terminal = (flow.voltages * flow.currents.conj()).sum()
    assert math.isclose(flow.powers.real.sum(), terminal.real, rel_tol=1e-10)
    z = fields.impedance
    assert np.abs(z - z.T).max() <= 1e-12 * np.abs(z).max()
    eigenvalues = np.linalg.eigvalsh(z.real)
    assert eigenvalues.min() > -1e-12 * eigenvalues.max()
