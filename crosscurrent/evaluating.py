"""A case at any frequency and temperature of a range, without solving it again."""

from __future__ import annotations

from dataclasses import dataclass

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.quantities import parse
from crosscurrent.postprocess.answers.answers import Answers, answers
from crosscurrent.solver.band.evaluator import Evaluator
from crosscurrent.solver.band.evaluator import evaluator as prepared
from crosscurrent.solver.field.solve import Progress

COLDEST, HOTTEST = "0 degC", "120 degC"


@dataclass(frozen=True, eq=False)
class CaseEvaluator:
    """The answers of a case for its whole section at one temperature, at once for every frequency and temperature.

    Attributes
    ----------
    case : Case
    models : Evaluator
    """

    case: Case
    models: Evaluator

    def evaluate(self, frequency: str | float, temperature: str | float) -> Answers:
        """Every answer, with bars that hold the error of the mesh and of the model together.

        Parameters
        ----------
        frequency : str or float
            Such as "85 kHz", or in Hz.
        temperature : str or float
            Of all conductors, such as "70 degC", or in degC.

        Raises
        ------
        QuantityError
            A text that is no frequency or temperature.
        """
        hertz = parse(frequency, "frequency") if isinstance(frequency, str) else float(frequency)
        warm = parse(temperature, "temperature") if isinstance(temperature, str) else float(temperature)
        return answers(self.models.evaluate(hertz, warm).solution(0))


def evaluator(
    case: Case,
    *,
    frequencies: tuple[str, str] | None = None,
    temperatures: tuple[str, str] = (COLDEST, HOTTEST),
    progress: Progress | None = None,
) -> CaseEvaluator:
    """Prepare a case for any frequency and temperature of a range.

    Parameters
    ----------
    case : Case
        With smooth surfaces.
    frequencies : (str, str), optional
        Lowest and highest, above 0; those of the case if left out.
    temperatures : (str, str)
        Of all conductors together, coldest and hottest.
    progress : callable, optional

    Raises
    ------
    QuantityError
        A text that is no frequency or temperature.
    SweepError
        A rough surface, or a band too wide for one mesh.

    Examples
    --------
    >>> from crosscurrent.api import case, circuit, conductor
    >>> rod = conductor("rod", "round", material="copper", diameter="10 mm")
    >>> made = case("rod", [rod], [circuit("feed", "100 A", out=["rod"])], at=["50 Hz", "5 kHz"])
    >>> warm = evaluator(made).evaluate("500 Hz", "80 degC")
    >>> round(warm.circuits["feed"].loss, 3)
    2.991
    """
    if frequencies is None:
        positive = [f for f in case.frequencies if f > 0]
        band = (min(positive), max(positive)) if positive else (1.0, 1.0)
    else:
        band = (parse(frequencies[0], "frequency"), parse(frequencies[1], "frequency"))
    ends = (parse(temperatures[0], "temperature"), parse(temperatures[1], "temperature"))
    return CaseEvaluator(case, prepared(case.problem(), band, ends, accuracy=case.accuracy, progress=progress))
