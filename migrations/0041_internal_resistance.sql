-- A source without internal resistance does not exist: 0 stood for one that is not known.
UPDATE points SET internal_mohm = NULL WHERE internal_mohm = 0;
