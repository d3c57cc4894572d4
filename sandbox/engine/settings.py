"""Every number that tunes the engine, with its unit, its reason, and what changing it breaks."""

from typing import Final

STEP: Final = 2e-3
"""s. Ropes are solved implicitly, so this bounds accuracy, not stability: errors of what swings
grow with its square. At twice this every shipped scene still agrees with theory to 0.02 %."""

SAMPLE: Final = 2e-2
"""s. Between snapshots; a whole number of steps."""

COLLISION_SLOP: Final = 1e-5
"""m. pymunk's default is 0.1 length units, ten centimetres here: bodies would sink into ramps."""

ERROR_BIAS: Final = 1e-9
"""Share of a contact's or a stop's error left after a second. What has run into something comes out
of it again at this rate; at once, it would be thrown out."""

ITERATIONS, MOST_ITERATIONS, SETTLING_POWER = 40, 5000, 14.0
"""Of pymunk's solver each step. A box's two corners settle each other within the first; with 10 the
normal force of a pulled body is off by 1e-4. A fulcrum and a stop or bearing settle each other by a
factor (1 - I / I_fulcrum) each time, so a bar whose mass is all in one place needs more: as many as
bring what is left to exp(-14), within the second."""

SLIP_SPEED: Final = 1e-4
"""m/s. Slower than this a surface holds with its static coefficient, faster friction is kinetic."""

EASING: Final = 0.25
"""s. In which the hand gathers speed and loses it again; started at once it would jerk the rope."""

FOLLOWING, HAND_SPEED = 0.05, 1.0
"""s and m/s. A led hand closes on where it is led in about the first, at most at the second."""

PULL_RATE, PULL_DAMPING = 25.0, 1.0
"""1/s, and a ratio to critical. Stiffness of somebody's pull at a part, as the rate at which the
part alone would swing on it: far below the ropes' own, and great enough to move the machine."""

LEAST_GYRATION: Final = 0.01
"""Of a bar's length: the least radius of gyration it is given. Nearer to none, its fulcrum and its
weight are next to one point mass, and pymunk's joint drifts."""

TOUCHING: Final = 1e-4
"""m. A body this near the foot of its ramp has reached it."""

SETTLED_SPEED: Final = 1e-8
"""m/s. Before a run the machine comes to rest in its ropes; slower than this counts as at rest."""

RUN_OFF_SPEED: Final = 10.0
"""m/s, and rad/s. What settles stays far below it (the shipped scenes below 0.1), what runs off
goes far beyond it."""

SETTLING_STEPS, DRAGGED_STEPS = 6000, 1000
"""At most so many steps are given to that, and at first so many with a drag (200 do for the shipped
scenes)."""

SETTLING_DRAG: Final = 0.03
"""Share of its speed that everything loses at each step of drag."""

TOOTH_STIFFNESS: Final = 1e8
"""N/m. Of a mesh of gears: it gives by a micrometre under 100 N, far less than ropes stretch."""

TOOTH_LAG: Final = 0.01
"""s. Its damping, as a rope's: rate of stretch counts this much as stretch."""

TOOTH_ROUNDED: Final = 1e-14
"""Share of tooth forces by which what they differ by may be rounding: by so much a mesh at rest
would for ever be found to slide the other way than was assumed."""

POST_MASS: Final = 1e-6
"""kg. Rope that slips on a post has no inertia: with a milligram the equations can be
solved, and at 1 m/s^2 it takes a millionth of a newton."""

CARRIES: Final = 1e-6
"""N. A rope that carried no more than this, the weight of a grain of dust, was slack already."""

TRIES: Final = 40
"""At most this often a step is solved anew because a span, bearing or body was assumed wrongly."""

ROUNDED: Final = 1e-11
"""Share of a friction's limit or of a weight, and m/s: as much may be rounding. What comes to rest
would for ever be found to slide the other way than was assumed."""

LOAD_CHANGED: Final = 1e-5
"""Share of an axle's load. A step in which one was assumed otherwise by more is solved anew: where
something is let go friction would lag behind by a step and be wrong for good by an impulse."""

LOAD_TURNED: Final = 1e-7
"""Share of a spindle's load that may lie across the direction it was assumed in."""

LONGEST_RUN: Final = 600.0
"""s."""

PIECE: Final = 20
"""Steps that are taken at a time beside other work: what a frame of the sheet has room for."""

SETTLING_PIECE: Final = 55
"""The same while a machine settles, nothing else being done then."""

AT_REST, LASTING_REST = 1e-5, 0.5
"""m/s and rad/s, and s. What a watched machine moves by no faster for so long has come to rest: no
drawing shows it, and the turning point of a swing is passed sooner."""

STILL: Final = 1e-10
"""m/s and rad/s. What moves no faster for `LASTING_REST` lies still for good: in a second it would
go an atom's width."""

FALLEN_BELOW: Final = 0.5
"""m. What falls freely so far below all that was drawn has left the machine."""
