"""Plans that the reading tests start from; the scenario is invented."""

from underfoot.reading import Problem, Reading, read_plan

SMALL = """\
plan_format: 1
materials:
  films:
    film-140: {width: 500, output: 140 W/m2, voltage: 230 V}
supply: {voltage: 230 V}
rooms:
  study:
    outline: [[0, 0], [4200, 0], [4200, 3100], [0, 3100]]
    rows:
      A: {film: film-140, at: [60, 60], along: y, lengths: [2750, 2750], circuit: C1}
circuits:
  C1: {breaker: 10 A}
"""

# Every key of plan format 1 but for `catalogue`, and `links`, which need two rooms.
FULL = """\
plan_format: 1
status: laid
note: the whole format once
job:
  title: Larch Lane 3, day room
  reference: LL3-FH-01
  revision: P2
  date: "2026-09-14"
  site: 3 Larch Lane
  client: the housing trust
  drawn_by: site office
  measured: from a drawing
  note: remeasured
materials:
  films:
    film-140:
      width: 500
      output: 140 W/m2
      voltage: 230 V
      cut_every: 250
      longest_strip: 9 m
      longest_circuit: 30 m
      tolerance: [-10, 5]
      lies: busbars down
      suits: [laminate, engineered wood]
      boards: [board-6]
      protection_class: II
      standard: IEC 60335-2-106
      busbar_resistance: 0.02 ohm/m
      largest_current: 12 A
      leakage: 0.4 mA/m2
      warmest: 80 degC
      note: invented
    film-70: {width: 0.5 m, output: 70 W/m, voltage: 230 V, leakage: 0.2 mA/m}
  boards:
    board-6: {size: [1200, 600], thickness: 6, conductivity: 0.033 W/m/K, material: foam,
              density: 35 kg/m3, note: grooved}
  sheets:
    pe-02: {width: 2 m, thickness: 0.2, material: polyester, note: clear}
  coverings:
    oak-14: {kind: engineered wood, thickness: 14, resistance: 0.10 m2 K/W,
             conductivity: 0.14 W/m/K, material: oak, density: 700 kg/m3,
             warmest_surface: 27 degC, most_output: 160 W/m2, fixing: floating, note: brushed}
    tile-10: {kind: tile, thickness: 10}
supply:
  voltage: 230 V
  system: mains
  available: 40 A
  phases: 3
  source: {kind: other, standard: IEC 61558-2-4, rating: 2 kVA, note: in the loft}
  note: from the board in the hall
north: -x
rooms:
  hall:
    outline: [[0, 0], [3 m, 0], [3 m, 1500], [0, 1500]]
  day-room:
    name: The day room
    use: living
    outline: [[0, 0], [6000, 0], [6000, 4000], [0, 4000]]
    north: 75 deg
    openings:
      door: {kind: door, from: [600, 0], to: [1400, 0], hinge: from, opens: inwards,
             threshold: glued, note: kept}
      window: {kind: window, from: [6000, 1 m], to: [6000, 2.5 m]}
    height: 2400
    note: faces south
    fixtures:
      bench: {at: [5000, 0], size: [800, 600], kind: floor-mounted, stands_on: subfloor}
      sofa: {at: [3000, 3000], size: [1800, 800], kind: on legs, clear: 120, note: new}
      wet: {outline: [[0, 3000], [900, 3000], [900, 3900]], kind: open shower, outlet: [600, 3300]}
    joints:
      J1: [[4800, 0], [4800, 4000]]
    subfloor:
      kind: concrete
      below: ground
      layers: [{material: concrete, thickness: 100, conductivity: 1.65 W/m/K, density: 2200 kg/m3},
               {thickness: 60, resistance: 1.7 m2 K/W, note: under it}]
      exposed_perimeter: 7.3 m
      barrier: pe-02
      moisture: {value: 1.8 %, method: CM, note: in two places}
      screed: cement
      note: dry
    coverings:
      - {covering: tile-10, over: [[0, 0], [1000, 0], [1000, 1000], [0, 1000]], note: by the door}
      - {covering: oak-14}
    underlay: {thickness: 3, resistance: 0.04 m2 K/W, conductivity: 0.07 W/m/K, material: felt,
               density: 120 kg/m3, note: thin}
    overlay: {thickness: 6, resistance: 0.05 m2 K/W, conductivity: 0.12 W/m/K, material: hardboard,
              density: 800 kg/m3, fixing: floating, note: in two layers}
    heat_loss: 1450 W
    other_heat: 400 W
    fabric:
      inside: 20 degC
      outside: -3 degC
      air_changes: 0.5 1/h
      note: by the designer
      surfaces:
        - {name: glazing, area: 11.2 m2, u_value: 1.4 W/m2/K, beyond: outside}
        - {name: wall, area: 8 m2, u_value: 0.3 W/m2/K, beyond: 10 degC, note: to the stair}
    insulation:
      board: board-6
      joints_taped: true
      note: two layers
      layers:
        - {courses: x, stagger: 600, note: below}
        - {courses: y, over: [[0, 0], [2000, 0], [2000, 2000], [0, 2000]]}
        - note: by hand
          pieces:
            P1: {at: [2000, 0], along: x}
            P2: {at: [3200, 0], along: 90 deg, length: 700, width: 500, note: cut}
    elements:
      E1: {film: film-70, at: [60, 60], along: 30 deg, length: 1 m, circuit: C2, connected: end,
           note: in the corner}
    rows:
      note: butted
      A: {film: film-140, at: [1000, 100], along: y, lengths: [2750, 2750, null, 2500],
          circuit: C1, note: first}
      B: {film: film-140, after: A, along: y, circuit: C2, connected: end,
          lengths: [2750, {length: 1500, from: 650},
                    {length: 750, circuit: C1, connected: start, note: short}]}
      D: {film: film-140, at: [100, 3000], along: x, length: 2 m, count: 2, spacing: 20}
    grid: {mesh: 30, earthed: true, protective_conductor: 4 mm2, note: copper}
    membrane:
      sheet: pe-02
      overlaps_taped: true
      perimeter_taped: false
      note: over all
      runs: {along: x, overlap: 150, over: [[0, 0], [6000, 0], [6000, 3000], [0, 3000]], note: low}
      pieces:
        M1: {at: [0, 2900], along: x, length: 4200}
        M2: {at: [4000, 2900], along: x, length: 2 m, width: 1250, note: cut}
    junction_box: {at: [0, 1500], height: 450, note: deep}
    thermostat: {at: [0, 1500], height: 1.4 m, switches: 16 A, floor_limit: 27 degC, room: hall,
                 reads: [day-room, hall],
                 contactor: {poles: 4, rating: 20 A, note: on the rail}, note: white}
    sensor:
      at: [1250, 1500]
      route: [junction-box, [400, 1500]]
      channel: {width: 13, depth: 7, cut_into: insulation, note: straight}
      conduit: {width: 12, depth: 7}
      cable: 4 m
      note: one spare
    leads:
      W1: {circuit: C1, size: 1.5 mm2, recessed: true, capacity: 12 A,
           route: [junction-box, [30, 1500], A1, A2.end, B3], note: left}
      W2: {circuit: C2, size: 14 AWG, route: [junction-box, B, E1.start]}
circuits:
  C1:
    thermostat: day-room
    breaker: 10 A
    rcd: 30 mA
    rcd_type: A
    rcd_group: R1
    phase: L2
    cable: {size: 2.5 mm2, length: 14 m, method: C, ambient: 30 degC, capacity: 20 A, note: grey}
    note: main
  C2: {thermostat: day-room, shares: C1}
method_statement:
  floor_cleaned: true
  busbars: down
  elements_taped: true
  cut_ends_insulated: true
  connector_tool: ratchet
  connectors_insulated: no
  connectors_recessed: true
  single_conductor_folded: true
  bare_conductor: 6
  conduit_closed: true
  sensor_taped: true
  note: as agreed
tests:
  - {circuit: C1, stage: laid, date: "2026-09-20", load_resistance: 94.5 ohm,
     strips: {A1: 275 ohm, note: cold}, insulation_resistance: 210 Mohm, test_voltage: 500 V,
     against: grid, thermostat_disconnected: true, rcd_trip_time: 24 ms, ambient: 18 degC,
     tested_by: site electrician, photo: laid.jpg, note: dry day}
handover: {diagram: true, certificate: signed, left_with_customer: false, note: in the folder}
waivers:
  - {rule: wall-clearance, item: A4, reason: boxed-in pipe, agreed_by: design lead,
     until: "2027-03-01", note: see the minutes}
"""


def read(text: str) -> Reading:
    """Read a plan that lies in no folder."""
    return read_plan(text.encode(), path="plan.yaml")


def change(text: str, old: str, new: str) -> str:
    """Put `new` for `old`, which must be there."""
    assert old in text
    return text.replace(old, new, 1)


def problems_of(text: str) -> list[tuple[int, str, str]]:
    """Line, path and message of each problem."""
    reading = read(text)
    assert (reading.plan is None) == bool(reading.problems)
    return [(problem.line, problem.path, problem.message) for problem in reading.problems]


def only_problem(text: str) -> Problem:
    """The one problem that a plan has."""
    problems = read(text).problems
    assert len(problems) == 1, problems
    return problems[0]
