"""Every write of a fitting: begun, seen, judged, altered, decided.

Each service keeps an entry once however often its tap arrives, and refuses with a ValidationError
keyed by field. A garment whose next step is decided takes no more entries until that is taken back.
"""

from fittings.session.services.callout import keep_callout, strike_remark
from fittings.session.services.causes import (
    answer_spot_test,
    strike_cause,
    strike_spot_answer,
    take_cause,
)
from fittings.session.services.deciding import (
    decide_next_step,
    judge_alteration,
    take_back_decision,
)
from fittings.session.services.guards import refuse_closed
from fittings.session.services.seeing import (
    answer_observation,
    record_observation,
    record_rest_clean,
    strike_observation,
    take_alteration,
)
from fittings.session.services.starting import start_fitting

__all__ = [
    "answer_observation",
    "answer_spot_test",
    "decide_next_step",
    "judge_alteration",
    "keep_callout",
    "record_observation",
    "record_rest_clean",
    "refuse_closed",
    "start_fitting",
    "strike_cause",
    "strike_observation",
    "strike_remark",
    "strike_spot_answer",
    "take_alteration",
    "take_back_decision",
    "take_cause",
]
