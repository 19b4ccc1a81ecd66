"""Paper for the bench: the run card, and the card that photos are measured on."""

from partline.interfaces.cards.compose import card_of, paper_named
from partline.interfaces.cards.paper import Paper
from partline.interfaces.cards.photo_card import photo_card
from partline.interfaces.cards.run_card import run_card

__all__ = ["Paper", "card_of", "paper_named", "photo_card", "run_card"]
