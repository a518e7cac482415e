"""A linear program stated row by row and solved by ``scipy.optimize.milp``."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

_INFEASIBLE = 2


@dataclass
class Program:
    """Maximise a sum of named variables, each within [0, upper], under rows ``sum <= limit``."""

    names: list[Hashable] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    value: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    rows: list[tuple[Mapping[Hashable, float], float]] = field(default_factory=list)

    def add(self, name: Hashable, *, upper=np.inf, value=0.0, whole=False) -> None:
        self.names.append(name)
        self.upper.append(upper)
        self.value.append(value)
        self.whole.append(whole)

    def at_most(self, terms: Mapping[Hashable, float], limit: float) -> None:
        self.rows.append((terms, limit))

    def exactly(self, terms: Mapping[Hashable, float], amount: float) -> None:
        self.at_most(terms, amount)
        self.at_most({name: -factor for name, factor in terms.items()}, -amount)

    def maximise(self) -> tuple[float, dict[Hashable, float]] | None:
        """The optimum and the variables' values; ``None`` where no values satisfy the rows."""
        if not self.names:
            return 0.0, {}
        answer = milp(
            c=-np.array(self.value),
            integrality=np.array(self.whole, dtype=int),
            bounds=Bounds(0, np.array(self.upper)),
            constraints=self._constraints(),
            options={"mip_rel_gap": 0.0},
        )
        if answer.status == _INFEASIBLE:
            return None
        if answer.status != 0:
            raise RuntimeError(answer.message)
        return -answer.fun, dict(zip(self.names, answer.x, strict=True))

    def _constraints(self) -> list[LinearConstraint]:
        if not self.rows:
            return []
        position = {name: index for index, name in enumerate(self.names)}
        entries = [
            (row, position[name], factor)
            for row, (terms, _) in enumerate(self.rows)
            for name, factor in terms.items()
        ]
        rows, columns, factors = zip(*entries, strict=True) if entries else ((), (), ())
        matrix = csr_array(
            (factors, (rows, columns)), shape=(len(self.rows), len(self.names)), dtype=float
        )
        return [LinearConstraint(matrix, ub=np.array([limit for _, limit in self.rows]))]
