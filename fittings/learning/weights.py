"""What a case weighs: every constant of the learning, with its reason. None has a source.

They were chosen on ten simulated houses other than those of ``tests/fittings/learning``.
"""

from typing import Final

CURED, BETTER, SAME, WORSE = "cured", "better", "same", "worse"
VERDICTS: Final = (CURED, BETTER, SAME, WORSE)

# How much of a remedy's success a verdict is. Better is a half: something was gained, and
# one more fitting is owed. As nothing it would teach to alter too boldly; as all, too little.
SUCCESS: Final = {CURED: 1.0, BETTER: 0.5, SAME: 0.0, WORSE: 0.0}

# The books name remedies and never say how often they cure, so every one starts alike: well
# thought of, and worth so few cases that the house's own soon speak louder.
REMEDY_EXPECTED: Final = 0.65
REMEDY_WORTH: Final = 4.0

# How surely the cause that was taken is the true one, by what became of its alterations. Soft at
# both ends: a wrong alteration sometimes hides a fault, a right one is sometimes badly done.
TRUE_CAUSE: Final = {CURED: 0.9, BETTER: 0.6, SAME: 0.1, WORSE: 0.05}

# The catalogue's prior of a cause is worth so many cases found where as many were expected: a rare
# cause is not forgotten for one lucky month, nor made common by one bad cloth.
CAUSE_WORTH: Final = 6.0

# A link is worth so many cases of its cause. The five named steps stand far apart: it takes about
# as many cases again to move one halfway to the next.
LINK_WORTH: Final = 12.0

# What one day may weigh in any one figure, in cases, however many were judged on it: a bad day, of
# the fitter, the light or the customer, moves no remedy and no cause by more than a third, and no
# link by more than a seventh of the way, even in a house without other cases.
DAY_CAP: Final = 2.0

# A cause the fitter took though the books do not link it to the fault may still be behind it.
UNLINKED: Final = 0.02
