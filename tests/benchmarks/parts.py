"""What the benchmarks' rooms and halls have in common, as YAML.

Every plan written with it is a right one: no rule has an error or a warning to report on it.
Nothing is drawn at random, so the same call writes the same bytes.
"""

STRIP_WIDTH = 500
BORDER = 60
"""Between strips and walls; the leads lie in it."""

CIRCUIT_LENGTH = 30_000
"""The most strip of that width on one circuit: common practice."""

MEMBRANE = """\
    membrane:
      sheet: pe-02
      overlaps_taped: true
      perimeter_taped: true
      runs: {along: x, overlap: 150}
"""

METHOD = """\
method_statement:
  floor_cleaned: true
  busbars: down
  elements_taped: true
  cut_ends_insulated: true
  connector_tool: ratchet
  connectors_insulated: both sides
  connectors_recessed: true
  single_conductor_folded: true
  bare_conductor: 6
  conduit_closed: true
  sensor_taped: true
"""


def render_head(title: str, reference: str, *, output_w_m2: int, available_a: int) -> str:
    """Write out the job, the materials and the supply; the film is named by its output."""
    return f"""\
plan_format: 1
status: for review
job:
  title: Benchmark block, {title}
  reference: {reference}
  revision: P1
  date: "2026-09-14"
  site: Benchmark block
  drawn_by: design office
  measured: from a drawing
materials:
  films:
    film-{output_w_m2}:
      width: {STRIP_WIDTH}
      output: {output_w_m2} W/m2
      voltage: 230 V
      cut_every: 250
      longest_strip: 9 m
      tolerance: [-10, 5]
      lies: busbars down
      suits: [laminate, engineered wood]
      boards: [board-10]
      protection_class: II
      standard: IEC 60335-2-106
  boards:
    board-10: {{size: [1200, 600], thickness: 10, conductivity: 0.033 W/m/K}}
  sheets:
    pe-02: {{width: 2 m, thickness: 0.2, material: polyethylene}}
  coverings:
    laminate-8: {{kind: laminate, thickness: 8, resistance: 0.06 m2 K/W,
                 warmest_surface: 27 degC, most_output: 160 W/m2, fixing: floating}}
supply:
  voltage: 230 V
  system: mains
  available: {available_a} A
"""


def render_floor(heat_loss_w: int) -> str:
    """Write out a room's subfloor, covering, heat loss and insulation."""
    return f"""\
    subfloor:
      kind: timber
      below: heated
      layers:
        - {{material: chipboard, thickness: 22, conductivity: 0.14 W/m/K}}
        - {{material: joist space, thickness: 220, resistance: 0.9 m2 K/W}}
    covering: laminate-8
    heat_loss: {heat_loss_w} W
    insulation:
      board: board-10
      joints_taped: true
      layers:
        - {{courses: x, stagger: 600}}
"""


def render_sensor(y: int) -> str:
    """Write out a sensor below the second strip, at this height of the drawing."""
    return f"""\
    sensor:
      at: [{BORDER + STRIP_WIDTH * 3 // 2}, {y}]
      route: [junction-box]
      channel: {{width: 13, depth: 7, cut_into: insulation}}
      conduit: {{width: 12, depth: 7}}
      cable: 3 m
"""


def render_corners(corners: list[tuple[int, int]]) -> str:
    """Write out an outline."""
    return "[" + ", ".join(f"[{x}, {y}]" for x, y in corners) + "]"
