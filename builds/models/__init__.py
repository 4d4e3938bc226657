"""Cars and all that is done to them, the people who do it, and the workshop's own settings."""

from .cars import Away, Car, Customer, Milestone, MilestonePromise
from .decisions import Decision
from .jobs import Area, Job, JobLink, JobNote, Need, Skill, TimeSpent
from .people import Absence, CalendarFeed, Overtime, Person
from .plans import Improving, KeptPlan
from .sheets import ProgressSheet
from .stamps import TableStamp
from .workshop import Bay, Closure, Workshop

__all__ = [
    "Absence",
    "Area",
    "Away",
    "Bay",
    "CalendarFeed",
    "Car",
    "Closure",
    "Customer",
    "Decision",
    "Improving",
    "Job",
    "JobLink",
    "JobNote",
    "KeptPlan",
    "Milestone",
    "MilestonePromise",
    "Need",
    "Overtime",
    "Person",
    "ProgressSheet",
    "Skill",
    "TableStamp",
    "TimeSpent",
    "Workshop",
]
