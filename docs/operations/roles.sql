-- Roles with the least rights for a shop's database on PostgreSQL. Run by an administrator,
-- connected to the shop's database, before the tables are made and once more when they are there:
--
--     psql -v ON_ERROR_STOP=1 -d holewise -f roles.sql
--
-- holewise_keeper  owns the tables: 'holewise database use' and 'holewise doctor --upgrade'
-- holewise_writer  loggers and dashboards: reads and writes rows, changes no table
-- holewise_reader  questions from other programs: reads only
--
-- They are groups that nobody can sign in as. Give people and services accounts of their own:
--
--     CREATE ROLE dashboard LOGIN PASSWORD '…' IN ROLE holewise_writer;
--
-- and let an account that makes or upgrades the tables do so as the keeper:
--
--     CREATE ROLE anna LOGIN PASSWORD '…' IN ROLE holewise_keeper;
--     ALTER ROLE anna SET role = holewise_keeper;

DO $$
DECLARE
  name text;
BEGIN
  FOREACH name IN ARRAY ARRAY['holewise_keeper', 'holewise_writer', 'holewise_reader'] LOOP
    IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = name) THEN
      EXECUTE format('CREATE ROLE %I NOLOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE', name);
    END IF;
    EXECUTE format('GRANT CONNECT ON DATABASE %I TO %I', current_database(), name);
  END LOOP;
  -- Anybody with an account on the server could otherwise connect and make tables here.
  EXECUTE format('REVOKE ALL ON DATABASE %I FROM PUBLIC', current_database());
END
$$;

REVOKE ALL ON SCHEMA public FROM PUBLIC;
GRANT USAGE, CREATE ON SCHEMA public TO holewise_keeper;
GRANT USAGE ON SCHEMA public TO holewise_writer, holewise_reader;

-- Tables that are there, and those that the keeper makes later.
GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public TO holewise_writer;
GRANT SELECT ON ALL TABLES IN SCHEMA public TO holewise_reader;
ALTER DEFAULT PRIVILEGES FOR ROLE holewise_keeper IN SCHEMA public
  GRANT SELECT, INSERT, UPDATE, DELETE ON TABLES TO holewise_writer;
ALTER DEFAULT PRIVILEGES FOR ROLE holewise_keeper IN SCHEMA public
  GRANT SELECT ON TABLES TO holewise_reader;

-- Which version the tables have is the keeper's alone to say.
DO $$
BEGIN
  IF to_regclass('public.alembic_version') IS NOT NULL THEN
    REVOKE INSERT, UPDATE, DELETE ON alembic_version FROM holewise_writer;
  END IF;
END
$$;
