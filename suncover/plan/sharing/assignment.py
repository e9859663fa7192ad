"""Which row goes with which column at the least cost, each column with one row at most.

The Hungarian method (Kuhn 1955, Naval Research Logistics Quarterly 2, 83-97): a row at a time, by
the cheapest chain of exchanges among those that have a column already.
"""

from __future__ import annotations

from collections.abc import Sequence

_FAR = 10**18


def assigned(cost: Sequence[Sequence[int]]) -> list[int]:
    """The column of each row, with the least sum of costs.

    `cost[row][column]` are whole numbers of any sign, no fewer columns than rows.
    """
    wide = len(cost[0]) if cost else 0
    row_price, column_price = [0] * len(cost), [0] * wide
    owner = [-1] * wide
    for row in range(len(cost)):
        least, came = [_FAR] * wide, [-1] * wide
        tree: list[int] = []  # columns reached, the last one at the end
        mine = row
        while mine >= 0:
            free = [column for column in range(wide) if column not in tree]
            at = tree[-1] if tree else -1
            for column in free:
                slack = cost[mine][column] - row_price[mine] - column_price[column]
                if slack < least[column]:
                    least[column], came[column] = slack, at
            nearest = min(free, key=least.__getitem__)
            step = least[nearest]
            row_price[row] += step
            for column in tree:
                row_price[owner[column]] += step
                column_price[column] -= step
            for column in free:
                least[column] -= step
            tree.append(nearest)
            mine = owner[nearest]
        at = tree[-1]
        while at >= 0:
            before = came[at]
            owner[at] = row if before < 0 else owner[before]
            at = before
    columns = [0] * len(cost)
    for column, row in enumerate(owner):
        if row >= 0:
            columns[row] = column
    return columns
