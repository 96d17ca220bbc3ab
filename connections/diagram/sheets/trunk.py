"""The band of the supply: from the network to the main board, the legend beside it."""

from msgspec import Struct

from connections.diagram.circuits.board_tree import TAILS
from connections.diagram.circuits.circuit import MOST_DEVICES, Circuit
from connections.diagram.sheets.band import (
    WORDS_BESIDE,
    BoardFoot,
    Step,
    board_foot,
    clamp_step,
    device_step,
    draw_steps,
)
from connections.diagram.sheets.canvas import Block, Canvas, Part, block
from connections.diagram.sheets.description import ABOVE, BELOW, board_sentence, supply_sentences
from connections.diagram.sheets.geometry import CONTROL_X, LEFT, LEGEND_X, TAILS_SPINE, TRUNK_X
from connections.diagram.symbols import SYMBOLS

_RIGHT = LEGEND_X - 20
_SCHEME_LEFT = TRUNK_X + 56
_SCHEME_INSET = 8
_SCHEME_EXIT = _RIGHT - 8
"""Where the control line leaves the scheme's box downwards."""
_BOUNDARY_HEIGHT = 34
_TAP_HEIGHT = 12
_SECOND_METER = TRUNK_X + 190


class Trunk(Struct, frozen=True):
    """The supply, wrapped and ready to draw. `beside` is the height of the legend beside it."""

    circuit: Circuit
    upper: tuple[Step, ...]
    meter: Step
    more_meters: Block
    scheme: Block
    clamps: tuple[Step, ...]
    lower: tuple[Step, ...]
    beside: int
    foot: BoardFoot

    @property
    def _scheme_height(self) -> int:
        if not self.circuit.scheme:
            return 0
        return self.scheme.height + 2 * _SCHEME_INSET + 8

    @property
    def _meter_height(self) -> int:
        branch = 14 if self.circuit.more_meters else 0
        return branch + max(self.meter.height, self.more_meters.height + 6)

    @property
    def _tap(self) -> int:
        """Height of the joint of boards that the tails feed, from the top."""
        steps = sum(step.height for step in (*self.upper, *self.clamps))
        return steps + self._meter_height + _BOUNDARY_HEIGHT + self._scheme_height + 4

    @property
    def _foot_top(self) -> int:
        tap = _TAP_HEIGHT if self.circuit.tapped else 0
        lower = sum(step.height for step in self.lower)
        return max(self._tap - 4 + tap + lower, self.beside) + 12

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
        """The joint of the boards that the tails feed; the busbar belongs to the row below."""
        return (TAILS, self._tap) if self.circuit.tapped else None

    def draw(self, canvas: Canvas, top: int) -> None:
        """Draw supply, ownership boundary, clamps, scheme, tails and main switch."""
        drawn_to, y = draw_steps(canvas, self.upper, TRUNK_X, top, None)
        if self.circuit.more_meters:
            self._draw_more_meters(canvas, y)
            y += 14
        height = self._meter_height - (14 if self.circuit.more_meters else 0)
        drawn_to, _ = draw_steps(canvas, (self.meter,), TRUNK_X, y, drawn_to)
        y += height
        self._draw_boundary(canvas, y)
        y += _BOUNDARY_HEIGHT
        drawn_to, y = draw_steps(canvas, self.clamps, TRUNK_X, y, drawn_to)
        if self.circuit.scheme:
            drawn_to = self._draw_scheme(canvas, y, drawn_to, top + self._foot_top - 6)
            y += self._scheme_height
        if self.circuit.tapped:
            tap = top + self._tap
            canvas.line("power", ((TRUNK_X, tap), (TAILS_SPINE, tap)), True)
            y += _TAP_HEIGHT
        drawn_to, y = draw_steps(canvas, self.lower, TRUNK_X, y, drawn_to)
        self.foot.draw(canvas, TRUNK_X, top + self._foot_top, drawn_to)

    def sentences(self) -> tuple[str, ...]:
        """The supply and the main board."""
        return (*supply_sentences(self.circuit), board_sentence(self.circuit.main))

    def _draw_more_meters(self, canvas: Canvas, y: int) -> None:
        """Draw the meter of another import number, on a branch behind the cut-out."""
        x, branch, meter = _SECOND_METER, y + 5, y + 14
        canvas.line("power", ((TRUNK_X, branch), (x, branch), (x, meter)), True)
        canvas.symbol("meter", x, meter, True)
        canvas.words(self.more_meters, x + SYMBOLS["meter"].width // 2 + 7, meter)

    def _draw_boundary(self, canvas: Canvas, y: int) -> None:
        middle = y + _BOUNDARY_HEIGHT // 2 - 2
        canvas.line("boundary", ((LEFT, middle), (_RIGHT, middle)))
        above, below = (block((Part(words, soft=True),), 310) for words in (ABOVE, BELOW))
        canvas.words(above, TRUNK_X + WORDS_BESIDE, middle - 2 - above.height)
        canvas.words(below, TRUNK_X + WORDS_BESIDE, middle + 2)

    def _draw_scheme(self, canvas: Canvas, y: int, drawn_to: int, control_y: int) -> int:
        """Draw box, measuring point and control line. Returns the lower end of the supply line."""
        bottom = y + self._scheme_height - 8
        middle = (y + bottom) // 2
        canvas.box("box", _SCHEME_LEFT, y, _RIGHT, bottom)
        canvas.words(self.scheme, _SCHEME_LEFT + _SCHEME_INSET, y + _SCHEME_INSET)
        if self.circuit.measured_at_supply:
            shape = SYMBOLS["ct"]
            symbol_top = middle - shape.height // 2
            canvas.line("power", ((TRUNK_X, drawn_to), (TRUNK_X, symbol_top)), True)
            drawn_to = canvas.clamp(self.circuit.scheme_arrow, TRUNK_X, symbol_top, True)
            canvas.signal(((TRUNK_X + shape.width // 2, middle), (_SCHEME_LEFT, middle)))
        canvas.line(
            "control", ((_SCHEME_EXIT, bottom), (_SCHEME_EXIT, control_y), (CONTROL_X, control_y))
        )
        return drawn_to


def trunk(circuit: Circuit) -> Trunk:
    """The band of the supply, its words wrapped beside the legend."""
    width = _RIGHT - TRUNK_X - WORDS_BESIDE
    supply = (
        Part("Supply from the network", bold=True, size=11),
        *(Part(line, most=2) for line in circuit.supply),
    )
    scheme = (
        Part("Limitation scheme", bold=True, size=11),
        *(Part(line, most=4) for line in circuit.scheme),
    )
    # Below the scheme's box the control line runs down at the right of the words.
    lower_width = width - 24 if circuit.scheme else width
    service = (Step("", block((Part(circuit.service),), width)),) if circuit.service else ()
    beside_meter = _SECOND_METER - TRUNK_X - WORDS_BESIDE - 20 if circuit.more_meters else width
    return Trunk(
        circuit,
        (
            Step("supply", block(supply, width), gap=0),
            Step(f"strokes-{circuit.phase_count}", Block((), ()), gap=0),
            Step("cut-out", block((Part(circuit.cut_out),), width)),
            *service,
        ),
        Step("meter", block((Part(circuit.meter),), beside_meter)),
        block((Part(circuit.more_meters, most=5),), _RIGHT - _SECOND_METER - 24),
        block(scheme, _RIGHT - _SCHEME_LEFT - 2 * _SCHEME_INSET),
        tuple(clamp_step(clamps, width) for clamps in circuit.clamps),
        (
            Step("", block((Part(circuit.tails, most=2),), lower_width)),
            *(device_step(device, lower_width) for device in circuit.main.devices[:MOST_DEVICES]),
        ),
        0,
        board_foot(circuit.main, TRUNK_X),
    )
