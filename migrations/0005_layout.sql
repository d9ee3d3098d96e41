-- Where places are on the boat, how the hull looks from above, and what passages are like.

ALTER TABLE jobs ADD COLUMN hull TEXT;

ALTER TABLE places ADD COLUMN ahead_m REAL;
ALTER TABLE places ADD COLUMN starboard_m REAL
    CONSTRAINT places_spot_whole CHECK ((starboard_m IS NULL) = (ahead_m IS NULL));
ALTER TABLE places ADD COLUMN up_m REAL
    CONSTRAINT places_height_of_a_spot CHECK (up_m IS NULL OR ahead_m IS NOT NULL);

ALTER TABLE passages ADD COLUMN name TEXT;
ALTER TABLE passages ADD COLUMN wet INTEGER NOT NULL DEFAULT 0
    CONSTRAINT passages_wet CHECK (wet IN (0, 1));
ALTER TABLE passages ADD COLUMN condition TEXT;
