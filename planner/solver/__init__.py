"""The solver: every layout that comes out right, ranked; or what stands in the way, and the nearest cure.

Main path: ``propose`` asks ``rank``, which searches (search: grounds, landing, reaching, score; easy for runs that
vary), drops what is beaten and puts different ones in front; when nothing lands it asks refusals what would mend
it. ``choose`` says which of them is the layout of a plan.
"""

from planner.solver.choose import Chosen, choose
from planner.solver.cures import Refusal
from planner.solver.promises import place_lawful
from planner.solver.proposal import Proposal
from planner.solver.propose import Proposals, propose

__all__ = ["Chosen", "Proposal", "Proposals", "Refusal", "choose", "place_lawful", "propose"]
