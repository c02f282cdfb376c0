-- Firms, programs and the keys that speak for them; what every later file leans on.

-- Codes people write on a sheet: plant, tester, instrument, region, qualification.
create domain ll.code as text check (value ~ '^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$');
-- A SHA-256.
create domain ll.digest as bytea check (octet_length(value) = 32);

-- Whose rows this transaction may see. Absent or empty gives null, and null equals nothing: a
-- forgotten firm is an empty answer, never an open one. Once used, a setting reads '' rather than null.
create function ll.current_firm() returns uuid language sql stable parallel safe
  return nullif(current_setting('app.firm', true), '')::uuid;
create function ll.current_program() returns uuid language sql stable parallel safe
  return nullif(current_setting('app.program', true), '')::uuid;

-- The guard of append-only tables. A statement trigger, so that it also refuses a statement that
-- meets no row, and "always", so that a replica role doesn't slip by.
create function ll.refuse_change() returns trigger language plpgsql as $$
begin
  raise exception 'table % is append-only: % refused', tg_table_name, lower(tg_op) using errcode = '55000';
end $$;

create function ll.keep_append_only(target regclass) returns void language plpgsql as $$
begin
  execute format('create trigger append_only before update or delete or truncate on %s
                  for each statement execute function ll.refuse_change()', target);
  execute format('alter table %s enable always trigger append_only', target);
end $$;

-- Policies also for the owner of the tables.
create function ll.wall_in(target regclass) returns void language plpgsql as $$
begin
  execute format('alter table %s enable row level security', target);
  execute format('alter table %s force row level security', target);
end $$;

create table ll.firm (
  id uuid primary key,
  name text not null check (length(name) between 1 and 200),
  created_at timestamptz not null default now()
);

create table ll.program (
  id uuid primary key,
  name text not null check (length(name) between 1 and 200),
  created_at timestamptz not null default now()
);

create table ll.api_key (
  -- The part of the key that is no secret: what a request is looked up by.
  id text primary key check (id ~ '^[0-9A-Za-z]{12}$'),
  hash ll.digest not null,
  role text not null check (role in ('firm', 'program', 'auditor', 'keeper', 'admin')),
  firm_id uuid references ll.firm,
  program_id uuid references ll.program,
  scopes text[] not null,
  name text not null check (length(name) between 1 and 200),
  created_at timestamptz not null default now(),
  expires_at timestamptz not null,
  revoked_at timestamptz,
  constraint api_key_speaks_for_check
    check ((role = 'firm') = (firm_id is not null) and (role = 'program') = (program_id is not null))
);

select ll.wall_in('ll.firm'), ll.wall_in('ll.program'), ll.wall_in('ll.api_key');

grant usage on schema ll to ll_firm, ll_program, ll_auditor, ll_keeper, ll_admin, ll_writer, ll_gate;
revoke execute on all functions in schema ll from public;
grant execute on function ll.current_firm(), ll.current_program() to ll_firm, ll_program;

grant select on ll.firm to ll_firm, ll_program, ll_auditor;
grant select, insert, update (name) on ll.firm to ll_admin;
create policy firm on ll.firm for select to ll_firm using (id = ll.current_firm());
create policy auditor on ll.firm for select to ll_auditor using (true);
create policy admin on ll.firm for all to ll_admin using (true) with check (true);

-- Programs are a directory: a firm must find the one a test is given to.
grant select on ll.program to ll_firm, ll_program, ll_auditor, ll_keeper;
grant select, insert, update (name) on ll.program to ll_admin;
create policy firm on ll.program for select to ll_firm using (true);
create policy program on ll.program for select to ll_program using (id = ll.current_program());
create policy auditor on ll.program for select to ll_auditor using (true);
create policy keeper on ll.program for select to ll_keeper using (true);
create policy admin on ll.program for all to ll_admin using (true) with check (true);

-- The gate looks keys up before anyone is known; the hash is for the gate alone.
grant select on ll.api_key to ll_gate;
grant select (id, role, firm_id, program_id, scopes, name, created_at, expires_at, revoked_at)
  on ll.api_key to ll_auditor, ll_admin;
grant insert, update (name, expires_at, revoked_at) on ll.api_key to ll_admin;
create policy gate on ll.api_key for select to ll_gate using (true);
create policy auditor on ll.api_key for select to ll_auditor using (true);
create policy admin on ll.api_key for all to ll_admin using (true) with check (true);
