"""The chapter "joints": resistances the user allows for, beside the resistance of the run."""

from __future__ import annotations

from crosscurrent.postprocess.answers.cautions import JOINTS
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.joints import AllowedJoint, JointsAnswer, record, sentences, table
from crosscurrent.solved import SolvedCase


def chapter(solved: SolvedCase) -> Chapter | None:
    """Loss of the joints at every frequency asked for one by one; the run with them where its length is stated."""
    joints = solved.case.data.joint
    if not joints:
        return None
    allowed = {
        circuit: tuple(AllowedJoint(j.name, j.number, j.resistance) for j in joints if j.circuit == circuit)
        for circuit in dict.fromkeys(joint.circuit for joint in joints)
    }
    found = [
        JointsAnswer(frequency, point.circuits[circuit], own, solved.case.length, point.coupled)
        for frequency in solved.solutions
        for point in (solved.at(frequency),)
        for circuit, own in allowed.items()
    ]
    return Chapter("joints", "Joints", record(found), (table(found),), tuple(sentences(found)), cautions=(JOINTS,))
