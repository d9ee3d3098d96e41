-- Where locations are on the boat, how the hull looks from above, and what raceways are like.

ALTER TABLE jobs ADD COLUMN hull TEXT;

ALTER TABLE locations ADD COLUMN ahead_m REAL;
ALTER TABLE locations ADD COLUMN starboard_m REAL
    CONSTRAINT locations_spot_whole CHECK ((starboard_m IS NULL) = (ahead_m IS NULL));
ALTER TABLE locations ADD COLUMN up_m REAL
    CONSTRAINT locations_height_of_a_spot CHECK (up_m IS NULL OR ahead_m IS NOT NULL);

ALTER TABLE raceways ADD COLUMN name TEXT;
ALTER TABLE raceways ADD COLUMN wet INTEGER NOT NULL DEFAULT 0
    CONSTRAINT raceways_wet CHECK (wet IN (0, 1));
ALTER TABLE raceways ADD COLUMN condition TEXT;
