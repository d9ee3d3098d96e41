-- Boats that carry sails, and the lights of sailing boats.

ALTER TABLE jobs ADD COLUMN sails INTEGER NOT NULL DEFAULT 0
    CONSTRAINT jobs_sails CHECK (sails IN (0, 1));

-- A constraint that lets more pass changes nothing that is stored, so only its words are changed: making the table
-- anew would take with it what hangs on its rows. (SQLite, "Making Other Kinds Of Table Schema Changes".)
PRAGMA writable_schema = ON;
UPDATE sqlite_schema SET sql = replace(sql,
    '''stern'', ''all-round'')',
    '''stern'', ''all-round'', ''tricolor'', ''red-over-green'')')
    WHERE type = 'table' AND name = 'devices';
PRAGMA writable_schema = RESET;
