-- Which places lie below the waterline, what goes through the hull there, and what old holes are left to close.

ALTER TABLE places ADD COLUMN below_waterline INTEGER NOT NULL DEFAULT 0
    CONSTRAINT places_below_waterline CHECK (below_waterline IN (0, 1));
-- Unknown until somebody counted.
ALTER TABLE places ADD COLUMN old_holes INTEGER
    CONSTRAINT places_old_holes CHECK (old_holes >= 0);
ALTER TABLE places ADD COLUMN closed_with TEXT
    CONSTRAINT places_closed_with CHECK (closed_with IN ('plug', 'sealant', 'glass'));
ALTER TABLE devices ADD COLUMN through_hull INTEGER NOT NULL DEFAULT 0
    CONSTRAINT devices_through_hull CHECK (through_hull IN (0, 1));
