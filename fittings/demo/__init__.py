"""An invented house in an invented town, with three years of history made by a seeded process.

What is hidden in the data, for the owner's rates and the diagnosis to find:

- Figures make faults. Stooping men need a longer back, erect ones a shorter; sloping and square
  shoulders, a low right shoulder and a waist near the chest each show in what they order. Once a
  garment has shown it, a cutter who carries the change into the next pattern sees it less often
  there; in three orders of ten nothing is carried, and it comes again. Three
  years of one house hardly tell that from chance.
- The close cut ("Wren") of coats was too narrow in back, shoulder and chest in its first version:
  many of its coats had to be cut again, in a piece or whole. Its second version is sound.
- One of the three cutters ("Vostan Hobthwick") mistakes the cause of a fault three times as often
  as the others: at the next look far fewer of his alterations are called cured.
- The tape of another ("Orrin Drumcote") wanders: where a girth is read twice, his two readings
  differ three times as much as the others'.
- Let out a side seam at the bench and it comes out 1/16 in short on each side; take one in and it
  comes out 1/32 in over. Hems, sleeves and all other work come out as asked, give or take 1/32 in.
- Everything else is chance: the cloth, the month, the other cuts, the workroom's hands.

Faults come from causes through the catalogue's own links (each holds or not, by its strength),
and an alteration cures when it meets the true cause and there was cloth enough for it.
"""
