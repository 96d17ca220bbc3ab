"""The band of the supply: from the network to the main board, scheme and legend beside it."""

from msgspec import Struct

from connections.diagram.circuits.circuit import MOST_DEVICES, Circuit
from connections.diagram.sheets.band import (
    WORDS_BESIDE,
    BoardFoot,
    Step,
    board_foot,
    device_step,
    draw_steps,
)
from connections.diagram.sheets.canvas import Block, Canvas, Part, block
from connections.diagram.sheets.description import board_sentence, supply_sentences
from connections.diagram.sheets.geometry import CONTROL_X, LEFT, LEGEND_X, TRUNK_X
from connections.diagram.sheets.legend import Legend, draw_legend
from connections.diagram.symbols import SYMBOLS

_RIGHT = LEGEND_X - 20
_SCHEME_LEFT = TRUNK_X + 56
_SCHEME_INSET = 8
_SCHEME_EXIT = _RIGHT - 8
"""Where the control line leaves the scheme's box downwards."""
_BOUNDARY_HEIGHT = 32


class Trunk(Struct, frozen=True):
    """The supply, wrapped and ready to draw."""

    circuit: Circuit
    upper: tuple[Step, ...]
    scheme: Block
    lower: tuple[Step, ...]
    legend: Legend
    foot: BoardFoot

    @property
    def _scheme_height(self) -> int:
        if not self.circuit.scheme:
            return 0
        return self.scheme.height + 2 * _SCHEME_INSET + 8

    @property
    def _foot_top(self) -> int:
        steps = sum(step.height for step in (*self.upper, *self.lower))
        return max(steps + _BOUNDARY_HEIGHT + self._scheme_height, self.legend.height) + 12

    @property
    def height(self) -> int:
        """Height down to the main busbar."""
        return self._foot_top + self.foot.height

    @property
    def control_at(self) -> int | None:
        """Height at which the scheme's control line leaves to the right; None without one."""
        return self._foot_top - 6 if self.circuit.scheme else None

    @property
    def busbar_at(self) -> tuple[str, int] | None:
        """None: the busbar belongs to the row below."""
        return None

    def draw(self, canvas: Canvas, top: int) -> None:
        """Draw supply, ownership boundary, scheme, main switch and legend."""
        drawn_to, y = draw_steps(canvas, self.upper, TRUNK_X, top, None)
        self._draw_boundary(canvas, y)
        y += _BOUNDARY_HEIGHT
        if self.circuit.scheme:
            drawn_to = self._draw_scheme(canvas, y, drawn_to, top + self._foot_top - 6)
            y += self._scheme_height
        drawn_to, y = draw_steps(canvas, self.lower, TRUNK_X, y, drawn_to)
        draw_legend(canvas, self.legend, LEGEND_X, top)
        self.foot.draw(canvas, TRUNK_X, top + self._foot_top, drawn_to)

    def sentences(self) -> tuple[str, ...]:
        """The supply and the main board."""
        return (*supply_sentences(self.circuit), board_sentence(self.circuit.main))

    def _draw_boundary(self, canvas: Canvas, y: int) -> None:
        middle = y + _BOUNDARY_HEIGHT // 2 - 2
        canvas.line("boundary", ((LEFT, middle), (_RIGHT, middle)))
        above = block((Part("above: network operator and supplier"),), 300)
        below = block((Part("below: customer"),), 300)
        canvas.words(above, TRUNK_X + WORDS_BESIDE, middle - 2 - above.height)
        canvas.words(below, TRUNK_X + WORDS_BESIDE, middle + 2)

    def _draw_scheme(self, canvas: Canvas, y: int, drawn_to: int, control_y: int) -> int:
        """Draw box, measuring point and control line. Returns the lower end of the supply line."""
        bottom = y + self._scheme_height - 8
        middle = (y + bottom) // 2
        corners = ((_SCHEME_LEFT, y), (_RIGHT, y), (_RIGHT, bottom), (_SCHEME_LEFT, bottom))
        canvas.line("box", (*corners, corners[0]))
        canvas.words(self.scheme, _SCHEME_LEFT + _SCHEME_INSET, y + _SCHEME_INSET)
        if self.circuit.measured_at_supply:
            shape = SYMBOLS["ct"]
            symbol_top = middle - shape.height // 2
            canvas.line("power", ((TRUNK_X, drawn_to), (TRUNK_X, symbol_top)), True)
            drawn_to = canvas.symbol("ct", TRUNK_X, symbol_top, True)
            lead = TRUNK_X + shape.width // 2
            arrow = SYMBOLS["arrow"]
            canvas.line("control", ((lead, middle), (_SCHEME_LEFT - arrow.width, middle)))
            canvas.symbol(
                "arrow", _SCHEME_LEFT - arrow.width + arrow.width // 2, middle - arrow.height // 2
            )
        canvas.line(
            "control", ((_SCHEME_EXIT, bottom), (_SCHEME_EXIT, control_y), (CONTROL_X, control_y))
        )
        return drawn_to


def trunk(circuit: Circuit, legend: Legend) -> Trunk:
    """The band of the supply, its words wrapped beside the legend."""
    width = _RIGHT - TRUNK_X - WORDS_BESIDE
    supply = (
        Part("Supply from the network", bold=True, size=11),
        *(Part(line, most=2) for line in circuit.supply),
    )
    scheme = (Part("Limitation scheme", bold=True, size=11), *(Part(s) for s in circuit.scheme))
    # Below the scheme's box the control line runs down at the right of the words.
    lower_width = width - 24 if circuit.scheme else width
    return Trunk(
        circuit,
        (
            Step("network", block(supply, width), gap=0),
            Step(f"strokes-{circuit.phase_count}", Block((), ()), gap=0),
            Step("cut-out", block((Part(circuit.cut_out),), width)),
            Step("meter", block((Part("Meter"),), width)),
        ),
        block(scheme, _RIGHT - _SCHEME_LEFT - 2 * _SCHEME_INSET),
        tuple(device_step(d, lower_width) for d in circuit.main.devices[:MOST_DEVICES]),
        legend,
        board_foot(circuit.main, TRUNK_X),
    )
