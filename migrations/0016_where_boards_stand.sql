-- Where a board stands in the boat, for the distance between parts on two boards.

-- Its upper left corner, seen from the front, as locations are measured.
ALTER TABLE boards ADD COLUMN ahead_m REAL;
ALTER TABLE boards ADD COLUMN starboard_m REAL;
ALTER TABLE boards ADD COLUMN up_m REAL;
-- Where its front looks. All four are known or none.
ALTER TABLE boards ADD COLUMN faces TEXT
    CONSTRAINT boards_faces CHECK (faces IN ('aft', 'ahead', 'port', 'starboard', 'up', 'down'))
    CONSTRAINT boards_stand_whole CHECK (
        (faces IS NULL) = (ahead_m IS NULL)
        AND (faces IS NULL) = (starboard_m IS NULL)
        AND (faces IS NULL) = (up_m IS NULL)
    );
