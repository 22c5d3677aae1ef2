"""The solver: every layout that comes out right, ranked; or what stands in the way, and the nearest cure.

Main path: ``propose`` enumerates (choices, easy), drops what is beaten (score), ranks the rest, and, when
nothing is left, asks refusals why. ``choose`` says which of them is the layout of a plan.
"""

from planner.solver.choose import Chosen, choose
from planner.solver.propose import Proposals, propose
from planner.solver.rank import Proposal
from planner.solver.refusals import Refusal

__all__ = ["Chosen", "Proposal", "Proposals", "Refusal", "choose", "propose"]
