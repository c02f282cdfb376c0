-- Who read what of the tests: ids, a route and a time, in the order of their commits.

-- The next free place, and the hour that is open. Whoever writes rows holds it until the commit, so that places are in
-- the order of the commits, without gaps, and no row can still come into an hour that was closed.
create table ll.read_log_head (
  one boolean primary key default true check (one),
  next bigint not null check (next >= 0),
  hour timestamptz(0) not null check (extract(epoch from hour)::bigint % 3600 = 0)
);
insert into ll.read_log_head (next, hour) values (0, '1970-01-01T00:00:00Z');

create function ll.read_log_only_grows() returns trigger language plpgsql as $$
begin
  if new.next >= old.next and new.hour >= old.hour then return new; end if;
  raise exception 'the read log only grows: place % of hour % after % of %', new.next, new.hour, old.next, old.hour
    using errcode = '55000';
end $$;
revoke execute on function ll.read_log_only_grows() from public;
create trigger only_grows before update on ll.read_log_head for each row execute function ll.read_log_only_grows();
create trigger append_only before delete or truncate on ll.read_log_head
  for each statement execute function ll.refuse_change();
alter table ll.read_log_head enable always trigger only_grows;
alter table ll.read_log_head enable always trigger append_only;

-- Every column goes into the leaf of its row. Lengths are checked rather than patterns, which would cost more than all
-- the rest of writing a row. No foreign keys: a row outlives what it is about.
create table ll.read_log (
  place bigint primary key check (place >= 0),
  -- The hour it belongs to: that in which it was read, or a later one where that was closed already.
  hour timestamptz(0) not null,
  at timestamptz(3) not null,
  -- Who: the id of the key, or of the principal of a token.
  key_id text not null check (octet_length(key_id) between 1 and 40),
  role text not null check (role in ('firm', 'program', 'auditor', 'keeper', 'admin')),
  firm_id uuid,
  program_id uuid,
  -- What: the operation, and the test or the plant; of a list how it was filtered, and how many items were answered.
  operation text not null check (octet_length(operation) between 3 and 81),
  test_id uuid,
  plant_id uuid,
  filter text check (octet_length(filter) between 2 and 1000),
  count integer check (count >= 0),
  request_id text not null check (octet_length(request_id) between 1 and 64)
);
-- Of one hour, in order; of one test, the newest first.
create index read_log_hour on ll.read_log (hour, place);
create index read_log_test on ll.read_log (test_id, place) where test_id is not null;

select ll.keep_append_only('ll.read_log'), ll.wall_in('ll.read_log');

-- Writes rows under the next places, in their order. Each comes into the hour in which it was read, or into the hour of
-- the row before it, or into the one that is open: whichever is latest.
create function ll.write_reads(
  times timestamptz[], keys text[], roles text[], firms uuid[], programs uuid[], operations text[], tests uuid[],
  plants uuid[], filters text[], counts integer[], requests text[]
) returns void language plpgsql as $$
declare
  first bigint;
  open_hour timestamptz;
begin
  select next, hour into strict first, open_hour from ll.read_log_head for update;
  update ll.read_log_head
    set next = next + cardinality(times),
        hour = greatest(hour, (select max(date_trunc('hour', t, 'UTC')) from unnest(times) t));
  insert into ll.read_log (place, hour, at, key_id, role, firm_id, program_id, operation, test_id, plant_id, filter,
                           count, request_id)
  select first + n - 1, greatest(open_hour, max(date_trunc('hour', t, 'UTC')) over (order by n)),
         t, k, r, f, p, o, test, plant, filter, c, q
  from unnest(times, keys, roles, firms, programs, operations, tests, plants, filters, counts, requests)
    with ordinality u(t, k, r, f, p, o, test, plant, filter, c, q, n)
  order by n;
end $$;
revoke execute on function ll.write_reads from public;
grant execute on function ll.write_reads to ll_writer;

grant select, update (next, hour) on ll.read_log_head to ll_writer;
grant insert on ll.read_log to ll_writer;
create policy writer on ll.read_log for insert to ll_writer with check (true);

-- A firm sees who read its tests, a program its own reads, an auditor all.
grant select on ll.read_log to ll_firm, ll_program, ll_auditor;
create policy firm on ll.read_log for select to ll_firm
  using (exists (select from ll.field_test own where own.id = read_log.test_id));
create policy program on ll.read_log for select to ll_program using (program_id = ll.current_program());
create policy auditor on ll.read_log for select to ll_auditor using (true);

-- The integrator closes an hour: it reads the rows, and adds the entry that holds their root.
grant select, update (hour) on ll.read_log_head to ll_integrator;
grant select on ll.read_log to ll_integrator;
create policy integrator on ll.read_log for select to ll_integrator using (true);
drop policy integrator_adds on ll.ledger_entry;
create policy integrator_adds on ll.ledger_entry for insert to ll_integrator
  with check (kind in ('signing-key', 'read-log') and firm_id is null and subject is null);
create index ledger_entry_read_log on ll.ledger_entry (index) where kind = 'read-log';
