"""Tables of the bench."""

from production.models.articles import Article, ArticlePart, Route, RouteStep, StepKind
from production.models.compounds import Colour, ColourPigment, Compound
from production.models.looks import LateLook, LateOffer, LateReason, OfferedLine
from production.models.mixes import REASONS, Cast, Mix, MixDraw, Outcome, Piece, Weighing
from production.models.moulds import Mould, MouldCopy, WaterFill
from production.models.pins import DayKeptFree, MixPin
from production.models.plans import Plan, PlannedCast, PlannedLine, PlannedMix
from production.models.steps import StepDone, StepDraw
from production.models.swatches import MixSwatch, RecipeSwatch

__all__ = [
    "REASONS",
    "Article",
    "ArticlePart",
    "Cast",
    "Colour",
    "ColourPigment",
    "Compound",
    "DayKeptFree",
    "LateLook",
    "LateOffer",
    "LateReason",
    "Mix",
    "MixDraw",
    "MixPin",
    "MixSwatch",
    "Mould",
    "MouldCopy",
    "OfferedLine",
    "Outcome",
    "Piece",
    "Plan",
    "PlannedCast",
    "PlannedLine",
    "PlannedMix",
    "RecipeSwatch",
    "Route",
    "RouteStep",
    "StepDone",
    "StepDraw",
    "StepKind",
    "WaterFill",
    "Weighing",
]
