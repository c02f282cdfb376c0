-- What statistics are made of: one narrow row a test, written with the test, and rows for what became of it; and cells,
-- which a fold beside the requests makes of these rows, and which can be made again from them at any time.

create function ll.hold_facts() returns void language sql as $$ select pg_advisory_xact_lock(7302011778) $$;
revoke execute on function ll.hold_facts from public;
grant execute on function ll.hold_facts to ll_writer, ll_statistics;

-- Rows are added under one lock that is held until the commit, so that their places are in the order of the commits:
-- whoever has read up to a place has missed nothing before it. Where both are taken, the head of the ledger comes first.
-- Places may have gaps. No foreign keys: a row is written by the function that writes what it is about.
create table ll.test_fact (
  place bigint generated always as identity primary key,
  happened text not null check (happened in ('test', 'superseded', 'withdrawn', 'decided', 'given', 'taken-back')),
  -- How many entries the ledger had with this one.
  ledger_size bigint not null check (ledger_size >= 0),
  test_id uuid not null,
  firm_id uuid not null,
  plant_id uuid not null,
  -- With decisions and with tests given and taken back.
  program_id uuid,
  -- Of a test by its findings; with a decision, as the program sees it from then on.
  soundness text check (soundness in ('sound', 'in-question', 'unsound')),
  -- All that follows: with tests only.
  tester_id uuid,
  tested_on date,
  edition text,
  -- driver|kind|region|power class|flow method|level method|power method|source of the weight|currency
  groups text check (groups ~ '^[^|]*(\|[^|]*){8}$'),
  -- SI; null where not resolved.
  flow_m3_s double precision,
  head_m double precision,
  lift_m double precision,
  input_power_w double precision,
  efficiency double precision,
  efficiency_u double precision,
  specific_capacity_m2_s double precision,
  energy_per_volume_j_m3 double precision,
  standing_level_m double precision,
  annual_energy_j double precision,
  annual_volume_m3 double precision,
  -- Per cubic metre, in the currency of the group.
  cost_per_volume double precision,
  constraint test_fact_of_test_check check ((happened = 'test') = (groups is not null and tested_on is not null
                                                                and tester_id is not null and edition is not null)),
  constraint test_fact_of_program_check check ((happened in ('decided', 'given', 'taken-back')) = (program_id is not null)),
  constraint test_fact_verdict_check check ((happened in ('test', 'decided')) = (soundness is not null))
);
-- All that happened at plants, in order: where plant_id = any (…) order by plant_id, place.
create index test_fact_plant on ll.test_fact (plant_id, place);
-- A firm's own: where firm_id = … order by place.
create index test_fact_firm on ll.test_fact (firm_id, place);
select ll.keep_append_only('ll.test_fact'), ll.wall_in('ll.test_fact');

-- Cells: what the tests of a group add up to, packed. `scope` is the program whose tests they are; the zero id for all.
create table ll.statistics_cell (
  scope uuid not null,
  cuboid smallint not null check (cuboid between 0 and 99),
  key text[] not null,
  body bytea not null,
  -- Place of the last row that changed it: what a cell holds is decided by its key and this.
  place bigint not null,
  primary key (scope, cuboid, key)
);
-- Filters that no cuboid was made for look into the largest: most name a region or a year.
create index statistics_cell_region on ll.statistics_cell (scope, (key[3]), (key[4])) where cuboid = 0;
create index statistics_cell_year on ll.statistics_cell (scope, (key[4])) where cuboid = 0;
alter table ll.statistics_cell set (fillfactor = 60, autovacuum_vacuum_scale_factor = 0, autovacuum_vacuum_threshold = 2000);
-- Packed already.
alter table ll.statistics_cell alter column body set storage external;
select ll.wall_in('ll.statistics_cell');

-- Up to where rows are in the cells.
create table ll.statistics_fold (
  one boolean primary key default true check (one),
  place bigint not null check (place >= 0),
  ledger_size bigint not null check (ledger_size >= 0),
  -- Of the code that made the cells: cells of another layout are made again.
  layout integer not null
);
insert into ll.statistics_fold (place, ledger_size, layout) values (0, 0, 0);

grant insert on ll.test_fact to ll_writer;
create policy writer on ll.test_fact for insert to ll_writer with check (true);

grant select on ll.test_fact, ll.statistics_fold to ll_firm, ll_program, ll_auditor;
grant select on ll.statistics_cell to ll_program, ll_auditor;
create policy firm on ll.test_fact for select to ll_firm using (firm_id = ll.current_firm());
create policy program on ll.test_fact for select to ll_program
  using (coalesce(program_id = ll.current_program(), exists (select from ll.field_test given where given.id = test_fact.test_id)));
create policy auditor on ll.test_fact for select to ll_auditor using (true);
create policy program on ll.statistics_cell for select to ll_program using (scope = ll.current_program());
create policy auditor on ll.statistics_cell for select to ll_auditor using (true);

-- Statistics: reads the narrow rows and makes the cells; of tests it sees what the rows of later events need.
grant usage on schema ll to ll_statistics;
grant select, insert on ll.test_fact to ll_statistics;
grant select, insert, update, delete on ll.statistics_cell to ll_statistics;
grant select, update on ll.statistics_fold to ll_statistics;
grant select on ll.ledger_head to ll_statistics;
grant select (id, firm_id, plant_id, soundness, findings) on ll.field_test to ll_statistics;
grant select (test_id, program_id, finding, run, place, turn, outcome) on ll.finding_decision to ll_statistics;
create policy statistics on ll.test_fact for all to ll_statistics using (true) with check (true);
create policy statistics on ll.statistics_cell for all to ll_statistics using (true) with check (true);
create policy statistics on ll.field_test for select to ll_statistics using (true);
create policy statistics on ll.finding_decision for select to ll_statistics using (true);

-- What a program makes of a test by its decisions: as in 0013, for a program that is named.
create function ll.soundness_by(program uuid, asked uuid, verdict text, told json) returns text
  language plpgsql stable as $$
declare
  standing integer;
  open integer;
begin
  if verdict <> 'in-question' then return verdict; end if;
  select count(*) filter (where said.outcome = 'stands'), count(*) filter (where said.outcome is null)
    into standing, open
    from json_array_elements(told) hold
    left join lateral (
      select decision.outcome from ll.finding_decision decision
      where decision.test_id = asked and decision.program_id = program
        and decision.finding = hold ->> 'id' and decision.place = hold ->> 'place'
        and decision.run is not distinct from (hold ->> 'run')::smallint
      order by decision.turn desc limit 1) said on true
    where hold ->> 'severity' = 'hold';
  return case when standing > 0 then 'unsound' when open > 0 then 'in-question' else 'sound' end;
end $$;
revoke execute on function ll.soundness_by from public;
grant execute on function ll.soundness_by to ll_firm, ll_program, ll_auditor, ll_keeper, ll_statistics;
create or replace function ll.soundness_for_program(asked uuid, verdict text, told json) returns text
  language plpgsql stable as $$
begin
  return ll.soundness_by(ll.current_program(), asked, verdict, told);
end $$;

-- What becomes of a test makes a row at the commit of the deed: the lock is held for that moment only.
grant create on schema ll to ll_statistics;
set role ll_statistics;
create function ll.note_fact() returns trigger language plpgsql security definer set search_path = ll, pg_temp as $$
declare
  entries bigint;
  what text;
  program uuid;
  verdict text;
begin
  perform ll.hold_facts();
  select next into entries from ll.ledger_head;
  if tg_table_name = 'test_closure' then
    what := new.how;
  elsif tg_table_name = 'test_program' then
    what := case new.consent when 'given' then 'given' else 'taken-back' end;
    program := new.program_id;
  else
    what := 'decided';
    program := new.program_id;
    select ll.soundness_by(program, test.id, test.soundness, test.findings) into verdict
      from ll.field_test test
      where test.id = new.test_id;
  end if;
  insert into ll.test_fact (happened, ledger_size, test_id, firm_id, plant_id, program_id, soundness)
    select what, entries, test.id, test.firm_id, test.plant_id, program, verdict
    from ll.field_test test where test.id = new.test_id;
  return null;
end $$;
revoke execute on function ll.note_fact() from public;
grant execute on function ll.note_fact() to ll_owner;
set role ll_owner;
revoke create on schema ll from ll_statistics;

create constraint trigger note_fact after insert on ll.test_closure
  deferrable initially deferred for each row execute function ll.note_fact();
create constraint trigger note_fact after insert on ll.test_program
  deferrable initially deferred for each row execute function ll.note_fact();
create constraint trigger note_fact after insert on ll.finding_decision
  deferrable initially deferred for each row execute function ll.note_fact();
alter table ll.test_closure enable always trigger note_fact;
alter table ll.test_program enable always trigger note_fact;
alter table ll.finding_decision enable always trigger note_fact;
