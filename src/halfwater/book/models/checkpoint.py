"""Checkpoints: what a filter knew at an instant, so that it need not start again from the first entry."""

from django.db import models

from halfwater.book.models.tank import Tank


class Checkpoint(models.Model):
    """The kept state of a model for a tank, after every entry up to and with `at`."""

    tank = models.ForeignKey(Tank, models.CASCADE, related_name="checkpoints", db_index=False)
    at = models.DateTimeField()
    model = models.CharField(max_length=40)
    state = models.JSONField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("tank", "model", "at"), name="checkpoint_one_an_instant"),
        )

    def __str__(self) -> str:
        return f"{self.model} {self.at}"
