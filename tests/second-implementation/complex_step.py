"""Propagation of uncertainty for the scripts of this folder: a sheet is a function of its errors, and the effect of an error is
found by a complex step."""

import math

STEP = 1e-30


class Errors:
    """Errors of a sheet by name; each is zero unless it is the one under the complex step."""

    def __init__(self, stepped=None):
        self.stepped = stepped
        self.sizes = {}

    def __call__(self, name, u):
        """Value of an error whose standard uncertainty is u, in units of u."""
        self.sizes[name] = u
        return u * complex(0, STEP) if name == self.stepped else 0.0


def solve(model):
    """Values and standard uncertainties of everything a model returns."""
    plain = Errors()
    values = model(plain)
    squares = {name: 0.0 for name in values}
    for error in plain.sizes:
        for name, value in model(Errors(error)).items():
            squares[name] += (complex(value).imag / STEP) ** 2
    return {name: (complex(value).real, math.sqrt(squares[name])) for name, value in values.items()}
