"""The best use of the hours of one site, what is there being given: a small linear program.

Shares of tests over ways, a few rows of hours: the simplex method with one key way for each
test, so that only a matrix of rows × rows is ever inverted (generalized upper bounding,
Dantzig and Van Slyke 1967).
"""

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.kernel.compiled import compiled

_PIVOTS = 400


@compiled
def _inverse(matrix: Floats, inverse: Floats) -> bool:
    """Gauss and Jordan with the largest pivot of each column; false if there is none."""
    size = len(matrix)
    for row in range(size):
        for column in range(size):
            inverse[row, column] = 1.0 if row == column else 0.0
    for column in range(size):
        pivot = column
        for row in range(column + 1, size):
            if abs(matrix[row, column]) > abs(matrix[pivot, column]):
                pivot = row
        if abs(matrix[pivot, column]) < 1e-11:
            return False
        for other in range(size):
            kept = matrix[column, other]
            matrix[column, other], matrix[pivot, other] = matrix[pivot, other], kept
            kept = inverse[column, other]
            inverse[column, other], inverse[pivot, other] = inverse[pivot, other], kept
        scale = 1.0 / matrix[column, column]
        for other in range(size):
            matrix[column, other] *= scale
            inverse[column, other] *= scale
        for row in range(size):
            factor = matrix[row, column]
            if row != column and factor != 0.0:
                for other in range(size):
                    matrix[row, other] -= factor * matrix[column, other]
                    inverse[row, other] -= factor * inverse[column, other]
    return True


@compiled
def serve(
    gain: Floats, first: Ints, ready: Bools, use: Floats, room: Floats, share: Floats, rent: Floats
) -> tuple[float, float]:
    """The best shares of the ``ready`` ways within ``room``: their gain, and a bound on it.

    ``rent`` becomes the price of each row. First everybody gets the best way; if hours do
    not allow that, the simplex method with one key way a test (Dantzig and Van Slyke 1967).
    """
    tests, rows = len(first) - 1, len(room)
    value, fits = 0.0, True
    share[:] = 0.0
    rent[:] = 0.0
    for test in range(tests):
        best, most = -1, 0.0
        for way in range(first[test], first[test + 1]):
            if ready[way] and gain[way] > most:
                best, most = way, gain[way]
        if best >= 0:
            share[best] = 1.0
            value += most
    for row in range(rows):
        load = 0.0
        for way in range(len(gain)):
            load += share[way] * use[row, way]
        fits = fits and load <= room[row]
    if fits:
        return value, value
    _simplex(gain, first, ready, use, room, share, rent)
    value, bound = 0.0, 0.0
    for row in range(rows):
        rent[row] = max(0.0, rent[row])
        bound += rent[row] * room[row]
    for test in range(tests):
        most = 0.0
        for way in range(first[test], first[test + 1]):
            value += share[way] * gain[way]
            if ready[way]:
                charged = gain[way]
                for row in range(rows):
                    charged -= rent[row] * use[row, way]
                most = max(most, charged)
        bound += most
    return value, max(value, bound)


@compiled
def _simplex(
    gain: Floats, first: Ints, ready: Bools, use: Floats, room: Floats, share: Floats, rent: Floats
) -> None:
    """Shares and rents of the optimum; feasible shares and some rents if it takes too long.

    Option w < ways is that way, ways + t means that nobody gets test t. ``basic`` has one
    entry for each row: an option, or −1 − r for what row r has left.
    """
    ways, tests, rows = len(gain), len(first) - 1, len(room)
    worth, load = np.zeros(ways + tests), np.zeros((ways + tests, rows))
    test_of = np.empty(ways + tests, np.int64)
    largest = 0.0
    for test in range(tests):
        test_of[ways + test] = test
        for way in range(first[test], first[test + 1]):
            test_of[way] = test
            worth[way] = gain[way] if ready[way] else -1.0
            largest = max(largest, worth[way])
            for row in range(rows):
                load[way, row] = use[row, way]
    key = np.arange(ways, ways + tests)
    basic = -1 - np.arange(rows)
    matrix, inverse = np.empty((rows, rows)), np.empty((rows, rows))
    amount = np.empty(rows)
    for pivot in range(_PIVOTS):
        for row in range(rows):
            left = room[row]
            for test in range(tests):
                left -= load[key[test], row]
            amount[row] = left
            for place in range(rows):
                option = basic[place]
                if option < 0:
                    matrix[row, place] = 1.0 if row == -1 - option else 0.0
                else:
                    matrix[row, place] = load[option, row] - load[key[test_of[option]], row]
        if not _inverse(matrix, inverse):
            break
        amount = inverse @ amount
        _spread(basic, key, test_of, amount, share)
        _rents(worth, basic, key, test_of, inverse, rent)
        entering = _entering(worth, load, key, test_of, rent, basic, largest, pivot)
        if entering == ways + tests:
            break
        if not _change(entering, load, key, basic, test_of, inverse, amount):
            break


@compiled
def _spread(basic: Ints, key: Ints, test_of: Ints, amount: Floats, share: Floats) -> None:
    """The shares that belong to a basis; the key way of a test has what the others leave."""
    ways = len(share)
    share[:] = 0.0
    for option in key:
        if option < ways:
            share[option] = 1.0
    for place in range(len(basic)):
        option = basic[place]
        if option >= 0:
            part = min(1.0, max(0.0, amount[place]))
            if option < ways:
                share[option] = part
            its_key = key[test_of[option]]
            if its_key < ways:
                share[its_key] = max(0.0, share[its_key] - part)


@compiled
def _rents(
    worth: Floats, basic: Ints, key: Ints, test_of: Ints, inverse: Floats, rent: Floats
) -> None:
    rent[:] = 0.0
    for place in range(len(basic)):
        option = basic[place]
        if option >= 0:
            more = worth[option] - worth[key[test_of[option]]]
            for row in range(len(rent)):
                rent[row] += more * inverse[place, row]


@compiled
def _entering(
    worth: Floats, load: Floats, key: Ints, test_of: Ints, rent: Floats, basic: Ints,
    largest: float, pivot: int,
) -> int:  # fmt: skip
    """The option (or −1 − row) that gains most a share; after many pivots the first that gains."""
    close, early = 1e-11 * (1.0 + largest), pivot < _PIVOTS // 2
    found, most = len(worth), close
    for row in range(len(rent)):
        if -rent[row] > most:
            found, most = -1 - row, -rent[row]
            if not early:
                return found
    for option in range(len(worth)):
        if worth[option] < 0.0 or key[test_of[option]] == option:
            continue
        its_key = key[test_of[option]]
        more = worth[option] - worth[its_key]
        for row in range(len(rent)):
            more -= rent[row] * (load[option, row] - load[its_key, row])
        if more > most:
            inside = False
            for place in range(len(basic)):
                inside = inside or basic[place] == option
            if not inside:
                found, most = option, more
                if not early:
                    return found
    return found


@compiled
def _change(
    entering: int, load: Floats, key: Ints, basic: Ints, test_of: Ints, inverse: Floats,
    amount: Floats,
) -> bool:  # fmt: skip
    """Take ``entering`` into the basis for what reaches 0 first; false if nothing does."""
    rows = len(basic)
    direction = np.zeros(rows)
    if entering < 0:
        direction[:] = inverse[:, -1 - entering]
    else:
        for row in range(rows):
            part = load[entering, row] - load[key[test_of[entering]], row]
            direction += inverse[:, row] * part
    leaving, step = -1, np.inf
    fall, left = np.zeros(len(key)), np.ones(len(key))
    if entering >= 0:
        fall[test_of[entering]] = 1.0
    for place in range(rows):
        if direction[place] > 1e-11 and amount[place] / direction[place] < step:
            leaving, step = place, max(0.0, amount[place] / direction[place])
        if basic[place] >= 0:
            fall[test_of[basic[place]]] -= direction[place]
            left[test_of[basic[place]]] -= amount[place]
    test = -1
    for number in range(len(key)):
        if fall[number] > 1e-11 and left[number] / fall[number] < step:
            test, step = number, max(0.0, left[number] / fall[number])
    if test < 0:
        if leaving >= 0:
            basic[leaving] = entering
        return leaving >= 0
    for place in range(rows):  # the key leaves: another way of the test takes its part
        if basic[place] >= 0 and test_of[basic[place]] == test:
            key[test] = basic[place]
            basic[place] = entering
            return True
    key[test] = entering
    return True
