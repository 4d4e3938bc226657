"""The levelled plan as it was last kept, and each improving of it in a process of its own."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class KeptPlan(models.Model):
    """Who does what when: the newest row is what Today follows, and what the next plan disturbs least."""

    made_at = models.DateTimeField()
    # The question it answers: when the network has changed since, it no longer fits and is mended.
    fingerprint = models.CharField(max_length=64)
    starts = models.JSONField(help_text="By key of the job: the minute it starts and the people on it.")
    value = models.FloatField(help_text="What it costs by the weights of the promises; less is better.")
    bound = models.FloatField(null=True, blank=True, help_text="No plan can cost less.")
    moved = models.PositiveIntegerField("jobs moved from the plan before", default=0)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"plan of {self.made_at:%d %b %Y %H:%M}"


class Improving(models.Model):
    """A search for a better plan, run outside the web server; its row is how the two speak."""

    class State(models.TextChoices):
        ASKED = "asked", "about to begin"
        RUNNING = "running", "searching"
        DONE = "done", "finished"
        STOPPED = "stopped", "stopped"
        FAILED = "failed", "failed"

    state = models.CharField(max_length=8, choices=State, default=State.ASKED)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    seconds = models.PositiveSmallIntegerField("time limit (s)", default=30)
    stop_asked = models.BooleanField(default=False)
    heard_at = models.DateTimeField("last sign of life", null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    progress = models.JSONField(default=dict, help_text="First and best value, bound, jobs moved, seconds.")
    words = models.TextField("what came of it", blank=True)
    plan = models.ForeignKey(KeptPlan, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["state"],
                condition=Q(state="running"),
                name="one_improving_at_once",
                violation_error_message="A better plan is being looked for already.",
            ),
        ]

    def __str__(self) -> str:
        return f"improving of {self.asked_at:%d %b %Y %H:%M}: {self.get_state_display()}"
