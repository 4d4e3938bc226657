"""One plan for all cars with the people there are: who does what, when, and what nobody can do sooner.

The core is pure like the rest of ``builds.schedule``: plain values in and out, times in whole local
minutes. The subjects are

- `things`, `problem` and `refusals`: tasks, workers, counted things, targets, and what is wrong with them;
- `plan`: a plan, what it costs against the targets, and what moved since the plan before;
- `serial`: a feasible plan at once;
- `improve`: a better one within a time limit, with a bound that no plan can beat; it can be stopped, tells
  its progress, and runs in a process of its own, since a problem and a plan can be pickled;
- `late`: checks that are done right before what they release;
- `check`: whether a plan can be carried out, found out independently of how it was made;
- `waits`: why a task is not earlier.

What a plan must keep:

- a job is done by as many people as it asks for, all at once, from its start to its finish. It stops
  only while one of them, or the hours of the job itself (a car that is away), is off, and goes on with
  the same people. Until it is finished they take up no other job;
- a link lets a task start when the one before has finished and the elapsed minutes of its lag are over;
- what is done on a car and what takes the car away exclude each other from start to finish; so do two
  stays away of one car;
- a counted thing (a lift, a supplier's line) is held from start to finish, overnight too;
- what is in hand is carried on with before anything else is begun, in the order in which it is given.
"""
