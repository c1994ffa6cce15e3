"""How a result shows itself in a notebook: the first sheets of its report, in a frame of their own."""

from __future__ import annotations

from html import escape

from moistwall.criteria_file import find_criteria
from moistwall.result import Result
from moistwall.show.report_page import report_page
from moistwall.study.judged import judge_run
from moistwall.study.whole_run import WholeRun
from moistwall.units import System

HEIGHT = 640
"""Of the frame. [px]"""


def result_html(result: Result, system: System = "ip") -> str:
    """The verdict by the shipped criteria, the section and the year of a result, for a notebook.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    str
        A frame whose page has a style and a policy of its own, so that neither the notebook nor the page
        changes the other.
    """
    run = WholeRun(result)
    page = report_page(run, judge_run(run, find_criteria(None)), system, brief=True)
    return (
        f'<iframe title="{escape(result.section_name)}" sandbox="allow-scripts" width="100%" height="{HEIGHT}" '
        f'srcdoc="{escape(page)}"></iframe>'
    )
