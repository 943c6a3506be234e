"""Every check and caution that the reduction of a test record carries, one module a topic."""

from heelwright_service.core.checks.inputs import CheckInput, Judgement
from heelwright_service.core.checks.judgement import judge

__all__ = ["CheckInput", "Judgement", "judge"]
