-- The shop and the people who work in it.
--
-- Times are UTC as RFC 3339 text with nine digits of a second, so that text order is time order and
-- what a tablet sent comes back to the nanosecond.

CREATE TABLE shop (
    -- One database is one shop: there is one row.
    id         INTEGER NOT NULL PRIMARY KEY,
    version    INTEGER NOT NULL DEFAULT 1,
    name       TEXT    NOT NULL,
    -- What papers for customers show below the name.
    address    TEXT,
    phone      TEXT,
    -- An IANA name: times are stored in UTC and shown here.
    time_zone  TEXT    NOT NULL,
    -- An ISO 4217 code.
    currency   TEXT    NOT NULL,
    units      TEXT    NOT NULL,
    CONSTRAINT shop_is_one CHECK (id = 1),
    CONSTRAINT shop_units CHECK (units IN ('us', 'metric')),
    CONSTRAINT shop_currency CHECK (currency GLOB '[A-Z][A-Z][A-Z]')
) STRICT;

-- Which database this is, so that backups of other shops in the same folder are left alone.
CREATE TABLE shop_identity (
    -- One database is one shop: there is one row, from the start on.
    id       INTEGER NOT NULL PRIMARY KEY,
    -- 128 random bits in hexadecimal. A restored copy has the same ones.
    identity TEXT    NOT NULL,
    CONSTRAINT shop_identity_is_one CHECK (id = 1),
    CONSTRAINT shop_identity_length CHECK (length(identity) = 32)
) STRICT;

INSERT INTO shop_identity (id, identity) VALUES (1, lower(hex(randomblob(16))));

-- The shop's mark, a picture on its papers.
CREATE TABLE shop_mark (
    -- One shop has one mark.
    id     INTEGER NOT NULL PRIMARY KEY,
    -- A JPEG file.
    bytes  BLOB    NOT NULL,
    -- SHA-256 of the file in hexadecimal, for its address.
    hash   TEXT    NOT NULL,
    width  INTEGER NOT NULL,
    height INTEGER NOT NULL,
    CONSTRAINT shop_mark_is_one CHECK (id = 1),
    CONSTRAINT shop_mark_size CHECK (width > 0 AND height > 0)
) STRICT;

CREATE TABLE people (
    -- Never used again once given: the log names people by it.
    id              INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    version         INTEGER NOT NULL DEFAULT 1,
    -- What is typed at sign-in, so 'Ana' and 'ana' are one person.
    name            TEXT    NOT NULL COLLATE NOCASE,
    role            TEXT    NOT NULL,
    -- An argon2id hash in PHC form; the passphrase itself is nowhere.
    passphrase_hash TEXT    NOT NULL,
    -- The same for the PIN of the quick switch; absent: no quick switch for this person.
    pin_hash        TEXT,
    created_at      TEXT    NOT NULL,
    -- People are disabled and never deleted, so that what they did keeps its name.
    disabled_at     TEXT,
    CONSTRAINT people_name_once UNIQUE (name),
    CONSTRAINT people_role CHECK (role IN ('manager', 'technician', 'apprentice', 'viewer')),
    CONSTRAINT people_passphrase_hashed CHECK (passphrase_hash LIKE '$argon2id$%'),
    CONSTRAINT people_pin_hashed CHECK (pin_hash IS NULL OR pin_hash LIKE '$argon2id$%')
) STRICT;

-- One row is one browser on one device. A quick switch changes its person and its token, not its row.
CREATE TABLE sign_ins (
    id          INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    -- SHA-256 of the token in the cookie: a stolen database signs nobody in.
    token_hash  BLOB    NOT NULL,
    -- Who is at it now.
    person      INTEGER NOT NULL,
    -- Who signed in by passphrase.
    opened_by   INTEGER NOT NULL,
    -- How the person at it now proved who they are.
    proof       TEXT    NOT NULL,
    -- What the device calls itself, for the page that lists devices.
    device      TEXT    NOT NULL,
    created_at  TEXT    NOT NULL,
    seen_at     TEXT    NOT NULL,
    -- When the token was last replaced.
    rotated_at  TEXT    NOT NULL,
    -- The end, however busy it is kept.
    expires_at  TEXT    NOT NULL,
    revoked_at  TEXT,
    CONSTRAINT sign_ins_token_once UNIQUE (token_hash),
    CONSTRAINT sign_ins_proof CHECK (proof IN ('passphrase', 'pin')),
    CONSTRAINT sign_ins_token_hashed CHECK (length(token_hash) = 32),
    CONSTRAINT sign_ins_person FOREIGN KEY (person) REFERENCES people (id),
    CONSTRAINT sign_ins_opened_by FOREIGN KEY (opened_by) REFERENCES people (id)
) STRICT;

CREATE INDEX sign_ins_by_person ON sign_ins (person);

-- Failed passphrases, counted by name and address so that nobody can lock another out from elsewhere.
-- Names are as typed (folded), known or not: an unknown name leaves the same trace as a known one.
CREATE TABLE sign_in_misses (
    id       INTEGER NOT NULL PRIMARY KEY,
    at       TEXT    NOT NULL,
    name     TEXT    NOT NULL,
    address  TEXT    NOT NULL
) STRICT;

CREATE INDEX sign_in_misses_by_pair ON sign_in_misses (name, address, at);
CREATE INDEX sign_in_misses_by_time ON sign_in_misses (at);

-- Failed PINs of one person on devices that another person opened. Only a right PIN or passphrase of that
-- same person clears them, so guessing cannot be paid for with one's own PIN.
CREATE TABLE pin_misses (
    opened_by INTEGER NOT NULL,
    person    INTEGER NOT NULL,
    misses    INTEGER NOT NULL,
    PRIMARY KEY (opened_by, person),
    CONSTRAINT pin_misses_opened_by FOREIGN KEY (opened_by) REFERENCES people (id),
    CONSTRAINT pin_misses_person FOREIGN KEY (person) REFERENCES people (id)
) STRICT, WITHOUT ROWID;

-- How the shop words and prints its labels.
CREATE TABLE label_setting (
    -- One database is one shop: there is one row once somebody changed anything.
    id      INTEGER NOT NULL PRIMARY KEY,
    version INTEGER NOT NULL DEFAULT 1,
    rule    TEXT    NOT NULL,
    -- The sheet the shop has in its printer.
    stock   TEXT    NOT NULL,
    -- What the codes on labels lead to; absent: whatever address the browser used.
    address TEXT,
    CONSTRAINT label_setting_is_one CHECK (id = 1)
) STRICT;

-- A sheet of labels that is in no list, by the measures the shop took of it.

CREATE TABLE own_label_sheet (
    -- One shop has one such sheet.
    id              INTEGER NOT NULL PRIMARY KEY,
    paper_width_mm  REAL    NOT NULL,
    paper_height_mm REAL    NOT NULL,
    columns         INTEGER NOT NULL,
    rows            INTEGER NOT NULL,
    width_mm        REAL    NOT NULL,
    height_mm       REAL    NOT NULL,
    left_mm         REAL    NOT NULL,
    top_mm          REAL    NOT NULL,
    -- From one label to the next. Absent: there is one column, or one row.
    across_mm       REAL,
    down_mm         REAL,
    -- Of a self-laminating wrap: how much of its height takes print.
    print_mm        REAL,
    CONSTRAINT own_label_sheet_is_one CHECK (id = 1)
) STRICT;
