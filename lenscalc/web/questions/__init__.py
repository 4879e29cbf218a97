"""One question of the user's a file: its answer in a sentence, then its picture."""
