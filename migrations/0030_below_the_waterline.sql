-- Which locations lie below the waterline, what goes through the hull there, and what old holes are left to close.

ALTER TABLE locations ADD COLUMN below_waterline INTEGER NOT NULL DEFAULT 0
    CONSTRAINT locations_below_waterline CHECK (below_waterline IN (0, 1));
-- Unknown until somebody counted.
ALTER TABLE locations ADD COLUMN old_holes INTEGER
    CONSTRAINT locations_old_holes CHECK (old_holes >= 0);
ALTER TABLE locations ADD COLUMN closed_with TEXT
    CONSTRAINT locations_closed_with CHECK (closed_with IN ('plug', 'sealant', 'glass'));
ALTER TABLE devices ADD COLUMN through_hull INTEGER NOT NULL DEFAULT 0
    CONSTRAINT devices_through_hull CHECK (through_hull IN (0, 1));
