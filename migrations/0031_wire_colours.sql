-- Colors of returns and feeders, where somebody chose one; those of positives were there before.

ALTER TABLE circuits ADD COLUMN return_color TEXT;
ALTER TABLE feeders ADD COLUMN color TEXT;
