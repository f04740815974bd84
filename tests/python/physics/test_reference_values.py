"""The stored values of libraries are still what the library that is installed for tests says.

Only ``fluids`` is installed for tests; the other libraries are large, and ``reference_values/make.py --check`` compares with
all of them by hand. The laws themselves are compared with the stored values in ``tests/rust/laws/libraries.rs``.
"""

from __future__ import annotations

import json

import numpy as np
from reference_values import film_odes, make


def test_stored_beds_are_what_fluids_computes() -> None:
    stored = json.loads(make.FILE.read_text())["beds"]
    assert len(stored["ergun"]) == 135
    assert len(stored["settling"]) == 27
    assert make.differences(stored, make.rounded(make.beds())) == []


def test_stored_films_are_what_their_equations_say() -> None:
    stored = json.loads(film_odes.FILE.read_text())["films"]
    found = film_odes.make()["films"]
    assert len(stored) == len(found) >= 14
    for one, other in zip(stored, found, strict=True):
        assert one["ions"] == other["ions"]
        # What the collocation leaves open, where another build of the library refines its nodes otherwise.
        np.testing.assert_allclose(other["flux"], one["flux"], rtol=1e-6, atol=1e-8)
        np.testing.assert_allclose(other["normality"], one["normality"], rtol=1e-7)


def test_a_difference_is_seen() -> None:
    """The comparison itself: one changed number is one line."""
    lines = make.differences({"a": [1.0, 2.0]}, {"a": [1.0, 2.1]})
    assert lines == [".a[1]: 2.0 stored, 2.1 found"]
