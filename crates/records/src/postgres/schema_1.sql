-- Version 1 of the shop book on a server. Entries are only added. The server reckons every hash
-- itself and takes an entry only behind the head, so that no program can fork the chain.
CREATE TABLE entry (
  number bigint CONSTRAINT entry_number PRIMARY KEY,
  utc_us bigint NOT NULL,
  kind text NOT NULL,
  job text,
  run text,
  about bigint,
  token text CONSTRAINT entry_token UNIQUE,
  body text NOT NULL,
  before bytea NOT NULL CONSTRAINT entry_before UNIQUE,
  hash bytea NOT NULL CONSTRAINT entry_hash UNIQUE,
  CONSTRAINT entry_from_one CHECK (number >= 1),
  CONSTRAINT entry_before_whole CHECK (octet_length(before) = 32),
  CONSTRAINT entry_linked CHECK (hash = sha256(convert_to(encode(before, 'hex') || chr(10) || body, 'UTF8')))
);
CREATE INDEX entry_job ON entry (job, number) WHERE job IS NOT NULL;
CREATE INDEX entry_run ON entry (run, number) WHERE run IS NOT NULL;
CREATE INDEX entry_about ON entry (about, number) WHERE about IS NOT NULL;
CREATE INDEX entry_kind ON entry (kind, number);
CREATE TABLE file (
  sha256 bytea CONSTRAINT file_sha256 PRIMARY KEY,
  bytes bytea NOT NULL,
  CONSTRAINT file_as_named CHECK (sha256 = pg_catalog.sha256(bytes))
);
-- Kept files do not shrink; packing them would cost time and save nothing.
ALTER TABLE file ALTER COLUMN bytes SET STORAGE EXTERNAL;
CREATE TABLE head (
  one integer CONSTRAINT head_one PRIMARY KEY,
  count bigint NOT NULL,
  hash bytea NOT NULL,
  CONSTRAINT head_is_one CHECK (one = 1),
  CONSTRAINT head_hash_whole CHECK (octet_length(hash) = 32)
);
INSERT INTO head (one, count, hash) VALUES (1, 0, decode(repeat('00', 32), 'hex'));
CREATE FUNCTION never() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'what is in the book is never changed or removed (%)', TG_TABLE_NAME;
END $$;
CREATE FUNCTION follows() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  last record;
BEGIN
  EXECUTE format('SELECT count, hash FROM %I.head WHERE one = 1 FOR UPDATE', TG_TABLE_SCHEMA) INTO last;
  IF NEW.number <> last.count + 1 OR NEW.before <> last.hash THEN
    RAISE EXCEPTION 'entry % does not follow the head, which is at %', NEW.number, last.count;
  END IF;
  RETURN NEW;
END $$;
CREATE FUNCTION moves() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  there boolean;
BEGIN
  EXECUTE format('SELECT EXISTS (SELECT FROM %I.entry WHERE number = $1 AND hash = $2 AND before = $3)', TG_TABLE_SCHEMA)
    INTO there USING NEW.count, NEW.hash, OLD.hash;
  IF NEW.count <> OLD.count + 1 OR NOT there THEN
    RAISE EXCEPTION 'the head only moves to the entry behind it';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER entry_follows BEFORE INSERT ON entry FOR EACH ROW EXECUTE FUNCTION follows();
CREATE TRIGGER entry_stays BEFORE UPDATE OR DELETE ON entry FOR EACH ROW EXECUTE FUNCTION never();
CREATE TRIGGER entry_kept BEFORE TRUNCATE ON entry FOR EACH STATEMENT EXECUTE FUNCTION never();
CREATE TRIGGER file_stays BEFORE UPDATE OR DELETE ON file FOR EACH ROW EXECUTE FUNCTION never();
CREATE TRIGGER file_kept BEFORE TRUNCATE ON file FOR EACH STATEMENT EXECUTE FUNCTION never();
CREATE TRIGGER head_moves BEFORE UPDATE ON head FOR EACH ROW EXECUTE FUNCTION moves();
CREATE TRIGGER head_stays BEFORE DELETE ON head FOR EACH ROW EXECUTE FUNCTION never();
CREATE TRIGGER head_kept BEFORE TRUNCATE ON head FOR EACH STATEMENT EXECUTE FUNCTION never();
REVOKE ALL ON entry, file, head FROM PUBLIC;
