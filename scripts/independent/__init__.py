"""An independent solution of the problems of ``moistwall bench``: the same equations, solved otherwise.

It was written from docs/theory.md and docs/bench.md alone, by someone who had not read moistwall's solver,
and shares nothing with it but the reader of problem files, the materials' own curves and the constants of
`moistwall.air`. What differs:

============  ==========================================  ==========================================
              moistwall                                    here
============  ==========================================  ==========================================
points        in the middle of cells; faces by algebra     on the faces: two layers share a point
unknowns      T and a mixture of humidity and content      T and the water of each point
curves        512 intervals                                8,192, and the inverse to round-off
in time       one-step, linearized, step by rule           SUNDIALS CVODE, order 1 to 5, error 1e-8
cells         by default some ten a layer                  some fifty a layer
============  ==========================================  ==========================================

Only developers need it: it makes the references that ship with moistwall, and takes scikit-sundae.
"""

from __future__ import annotations

from independent.march import Solution, solve

__all__ = ["Solution", "solve"]
