"""What goes in. Composition is dated: an old feeding keeps the recipe of its day."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from django.db import models

from enclosures.models.constraints import one_of, within
from enclosures.models.places import Enclosure
from enclosures.models.record import LoggedRecord, RecordPart


class FoodClass(models.TextChoices):
    PELLET = "pellet", "pellet"
    INSECT = "insect", "insect"
    WORM = "worm", "worm"
    FISH = "fish", "fish"
    CRUSTACEAN = "crustacean", "crustacean"
    MOLLUSC = "mollusc", "snail or mussel"
    PLANT = "plant", "plant"
    GEL = "gel", "gel"
    OTHER = "other", "other"


class Eaten(models.TextChoices):
    ALL = "all", "all"
    MOST = "most", "most"
    SOME = "some", "some"
    NONE = "none", "none"
    NOT_NOTED = "", "not noted"


class FoodItem(models.Model):
    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=120, blank=True)
    food_class = models.CharField(max_length=12, choices=FoodClass)
    is_retired = models.BooleanField("no longer used", default=False)

    class Meta:
        ordering = ("code",)
        constraints: ClassVar[list[models.BaseConstraint]] = [one_of("food_class", FoodClass.values)]

    def __str__(self) -> str:
        return self.name or self.code

    def composition_on(self, day: date) -> FoodComposition | None:
        """The recipe in force on a day; before the first dated one, the earliest. Prefetch `compositions` for many."""
        recipes = sorted(self.compositions.all(), key=lambda recipe: recipe.valid_from or date.min)
        in_force = [recipe for recipe in recipes if (recipe.valid_from or date.min) <= day]
        return in_force[-1] if in_force else (recipes[0] if recipes else None)


class FoodComposition(models.Model):
    """Shares of the food as fed, percent. `valid_from` empty: from the beginning."""

    food_item = models.ForeignKey(FoodItem, on_delete=models.PROTECT, related_name="compositions")
    valid_from = models.DateField(null=True, blank=True)
    moisture_percent = models.FloatField("water, %")
    protein_percent = models.FloatField("protein, % as fed")
    fat_percent = models.FloatField("fat, %", null=True, blank=True)
    ash_percent = models.FloatField("ash, %", null=True, blank=True)
    source = models.CharField("numbers from", max_length=120, blank=True)

    class Meta:
        ordering = ("food_item", models.F("valid_from").asc(nulls_first=True))
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["food_item", "valid_from"], name="one_recipe_a_day"),
            models.UniqueConstraint(
                fields=["food_item"], condition=models.Q(valid_from__isnull=True), name="one_first_recipe"
            ),
            within("moisture_percent", 0, 99),
            within("protein_percent", 0, 95),
            within("fat_percent", 0, 95),
            within("ash_percent", 0, 95),
            models.CheckConstraint(
                condition=models.Q(moisture_percent__lte=100 - models.F("protein_percent")),
                name="foodcomposition_adds_up",
                violation_error_message="Water and protein together are more than 100 per cent.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.food_item_id} from {self.valid_from or 'the beginning'}"


class FoodUnit(models.Model):
    """A keeper's unit of one food: piece, cube, scoop, pinch."""

    food_item = models.ForeignKey(FoodItem, on_delete=models.PROTECT, related_name="units")
    name = models.CharField(max_length=20)
    grams = models.FloatField("g as fed")

    class Meta:
        ordering = ("food_item", "name")
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["food_item", "name"], name="one_unit_a_name"),
            within("grams", 0, 100_000, above=True),
        ]

    def __str__(self) -> str:
        return f"{self.name} = {self.grams:g} g"


class Feeding(LoggedRecord):
    """One meal of one enclosure. No lines and a `not_fed_reason`: looked after, and not fed on purpose."""

    enclosure = models.ForeignKey(Enclosure, on_delete=models.PROTECT, related_name="feedings")
    slot = models.CharField("meal", max_length=8, blank=True, choices=[("am", "morning"), ("pm", "evening")])
    outcome = models.CharField(
        max_length=8,
        blank=True,
        choices=[("planned", "as planned"), ("changed", "changed"), ("not_fed", "not fed")],
    )
    not_fed_reason = models.CharField(max_length=80, blank=True)
    leftovers_removed = models.BooleanField(null=True, blank=True)
    refused = models.CharField("refused by", max_length=200, blank=True, help_text="Animal codes, parted by spaces.")
    head_count = models.PositiveSmallIntegerField(null=True, blank=True)

    CONTENT = (
        "enclosure", "slot", "outcome", "not_fed_reason", "leftovers_removed", "refused", "head_count",
    )  # fmt: skip
    PARTS: ClassVar[dict[str, tuple[str, ...]]] = {
        "lines": ("food_item", "amount", "unit", "offered_g", "eaten"),
    }

    class Meta(LoggedRecord.Meta):
        indexes = (models.Index(fields=["enclosure", "-occurred_at"], name="feeding_newest"),)


class FeedingLine(RecordPart):
    """`offered_g` as fed; `dry_g` and `protein_g` computed once, from the recipe of the day (empty: none was known)."""

    feeding = models.ForeignKey(Feeding, on_delete=models.PROTECT, related_name="lines")
    food_item = models.ForeignKey(FoodItem, on_delete=models.PROTECT, related_name="lines")
    amount = models.FloatField(null=True, blank=True, help_text="In the keeper's unit.")
    unit = models.CharField(max_length=20, blank=True)
    offered_g = models.FloatField()
    dry_g = models.FloatField(null=True, blank=True)
    protein_g = models.FloatField(null=True, blank=True)
    eaten = models.CharField(max_length=4, choices=Eaten, blank=True)

    class Meta(RecordPart.Meta):
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["feeding", "position"], name="one_line_a_place"),
            within("offered_g", 0, 100_000),
            within("amount", 0, 100_000),
            one_of("eaten", Eaten.values),
        ]

    def __str__(self) -> str:
        return f"{self.food_item_id} {self.offered_g:g} g"
