"""The search behind every schedule: who and what is limited, what comes first, when each begins.

`problem` states what is to be scheduled, for a project of a benchmark, a job's floor and a day
of several jobs alike. `events` makes a schedule from priorities, moving forward in time; `lists`
makes one from an activity list and improves it from both ends. `listing` has the first schedules,
`annealing` makes them better: `stretches` where there are many activities, with what `windows`
has compiled. `lists` searches over activity lists; `proving` hands the rest to CP-SAT;
`portfolio` says in which order. `bounds` tells how good a schedule can be at best, with
`dividing` and `phases` for how the work can be divided among people. `crews` are for days on
which people stay together. Times are whole numbers.
"""
