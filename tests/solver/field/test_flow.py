"""What a flow answers: three implementations, none built on another."""

from crosscurrent.solver.band.response import SweptFlow
from crosscurrent.solver.field.flow import Flow, SteadyFlow
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.time.transient import MomentaryFlow


def asked(protocol: type) -> set[str]:
    return {name for base in protocol.__mro__ for name in vars(base) if not name.startswith("_")}


def answered(implementation: type) -> set[str]:
    fields = set(getattr(implementation, "__dataclass_fields__", {}))
    return fields | {name for name in dir(implementation) if not name.startswith("_")}


def test_steady_flows_answer_all_that_is_asked_of_them() -> None:
    for implementation in (SolvedFlow, SweptFlow):
        assert asked(SteadyFlow) <= answered(implementation)


def test_a_moment_has_no_phasors() -> None:
    assert asked(Flow) <= answered(MomentaryFlow)
    assert not {"impedance", "voltages", "powers", "frequency"} & answered(MomentaryFlow)


def test_none_inherits_from_another() -> None:
    for one in (SolvedFlow, SweptFlow, MomentaryFlow):
        assert one.__bases__ == (object,)
