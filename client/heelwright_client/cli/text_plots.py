"""Plots in characters, where a line says more than a row: the moment line with its residuals, a drift over years."""

from __future__ import annotations

from collections.abc import Sequence

from heelwright_client.moment_points import Line
from heelwright_client.words import number

MARKS = "ox+*#%@&"
_WIDTH, _HEIGHT, _RESIDUAL_HEIGHT = 61, 15, 7
_MAGNIFICATIONS = (10, 20, 50, 100, 200, 500, 1000)


class Canvas:
    """A grid of characters over a range of x and y; y grows upwards."""

    def __init__(self, x_range: tuple[float, float], y_range: tuple[float, float], width: int, height: int) -> None:
        self._x, self._y = x_range, y_range
        self._cells = [[" "] * width for _ in range(height)]

    def put(self, x: float, y: float, sign: str, *, over: bool = True) -> None:
        """Put a character where a point falls.

        Parameters
        ----------
        x, y : float
            The point; outside the ranges nothing is drawn.
        sign : str
            One character.
        over : bool
            Whether it may cover what is there.
        """
        column = round((x - self._x[0]) / (self._x[1] - self._x[0]) * (len(self._cells[0]) - 1))
        row = round((self._y[1] - y) / (self._y[1] - self._y[0]) * (len(self._cells) - 1))
        inside = 0 <= row < len(self._cells) and 0 <= column < len(self._cells[0])
        if inside and (over or self._cells[row][column] == " "):
            self._cells[row][column] = sign

    def level(self, y: float, sign: str) -> None:
        """Draw a level line below everything else.

        Parameters
        ----------
        y : float
            Its height.
        sign : str
            One character.
        """
        steps = len(self._cells[0])
        for step in range(steps):
            self.put(self._x[0] + (self._x[1] - self._x[0]) * step / (steps - 1), y, sign, over=False)

    def rows(self) -> list[str]:
        """Return the lines from the top.

        Returns
        -------
        list of str
            Without trailing spaces.
        """
        return ["".join(row).rstrip() for row in self._cells]


def moment_plot(lines: Sequence[Line]) -> list[str]:
    """Plot tangent against moment with the fitted line, and the residuals enlarged below.

    Parameters
    ----------
    lines : sequence of Line
        One an instrument.

    Returns
    -------
    list of str
        Printable lines; empty where there is nothing to plot.
    """
    points = [(p.moment_t_m, p.tangent - line.intercept) for line in lines for p in line.points]
    if len({moment for moment, _ in points}) < 2:
        return []
    far = max(abs(moment) for moment, _ in points) * 1.05
    high = max(abs(tangent) for _, tangent in points) * 1.05 or 1.0
    canvas = Canvas((-far, far), (-high, high), _WIDTH, _HEIGHT)
    _draw(canvas, lines, far)
    names = ", ".join(f"{MARKS[i % len(MARKS)]} {line.instrument}" for i, line in enumerate(lines))
    return [
        f"tangent of the change of heel, full height {number(2 * high, 4)}    {names}",
        *canvas.rows(),
        _axis(far),
        *_residual_plot(lines, far, high),
    ]


def _draw(canvas: Canvas, lines: Sequence[Line], far: float) -> None:
    for step in range(-60, 61):
        moment = far * step / 60
        canvas.put(moment, lines[0].slope * moment, "·")
    for order, line in enumerate(lines):
        for point in line.points:
            canvas.put(point.moment_t_m, point.tangent - line.intercept, MARKS[order % len(MARKS)])


def _residual_plot(lines: Sequence[Line], far: float, high: float) -> list[str]:
    largest = max((abs(residual) for line in lines for residual in line.residuals()), default=0.0)
    share = _RESIDUAL_HEIGHT / _HEIGHT
    fitting = [times for times in _MAGNIFICATIONS if largest * times <= high * share]
    times = fitting[-1] if fitting else _MAGNIFICATIONS[0]
    reach = high * share / times
    canvas = Canvas((-far, far), (-reach, reach), _WIDTH, _RESIDUAL_HEIGHT)
    for order, line in enumerate(lines):
        for point, residual in zip(line.points, line.residuals(), strict=True):
            canvas.put(point.moment_t_m, residual, MARKS[order % len(MARKS)])
    canvas.level(0.0, "·")
    return [f"residuals, {times} times enlarged", *canvas.rows()]


def _axis(far: float) -> str:
    left, right = f"{number(far, 1)} t·m to port", f"{number(far, 1)} t·m to starboard"
    return left + "0".center(max(_WIDTH - len(left) - len(right), 3)) + right


def history_plot(points: Sequence[tuple[float, float, float]], limits: Sequence[float], unit: str) -> list[str]:
    """Plot a change over the years with its 95 % intervals and the limits.

    Parameters
    ----------
    points : sequence of (float, float, float)
        Year, change and half width of its interval.
    limits : sequence of float
        Levels to draw, in the unit of the change.
    unit : str
        Unit for the labels.

    Returns
    -------
    list of str
        Printable lines; empty with fewer than two points.
    """
    if len({year for year, _, _ in points}) < 2:
        return []
    years = [year for year, _, _ in points]
    levels = [0.0, *limits, *(v + h for _, v, h in points), *(v - h for _, v, h in points)]
    low, high = min(levels), max(levels)
    room = 0.05 * (high - low) or 1.0
    canvas = Canvas((min(years), max(years)), (low - room, high + room), _WIDTH, _HEIGHT)
    for year, value, half in points:
        for step in range(-10, 11):
            canvas.put(year, value + half * step / 10, "│")
        canvas.put(year, value, "●")
    canvas.level(0.0, "·")
    for limit in limits:
        canvas.level(limit, "━")
    labels = f"{min(years):.0f}".ljust(_WIDTH - 4) + f"{max(years):.0f}"
    return [
        f"{_signed(high + room, unit)} at the top, {_signed(low - room, unit)} at the foot",
        *canvas.rows(),
        labels,
    ]


def _signed(value: float, unit: str) -> str:
    return f"{number(abs(value), 2)} {unit} {'more' if value > 0 else 'less'}"
