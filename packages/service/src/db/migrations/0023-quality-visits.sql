-- Quality visits: tests that a program draws to be tested again by another firm, and what becomes of each.

-- A draw is announced by one person, with a seed that nobody knows yet and whose hash stands in the ledger; it is drawn
-- by another, and then the seed is told. `terms` and `outcome` are canonical JSON.
create table ll.quality_draw (
  id uuid primary key,
  program_id uuid not null references ll.program,
  terms bytea not null check (octet_length(terms) between 2 and 2000),
  terms_sha256 ll.digest not null,
  seed bytea not null check (octet_length(seed) = 32),
  seed_sha256 ll.digest not null,
  announcer ll.code not null,
  announcer_key text not null,
  announced_at timestamptz not null,
  salt bytea not null check (octet_length(salt) = 16),
  people_sha256 ll.digest not null,
  leaf_hash bytea not null unique check (octet_length(leaf_hash) = 32),
  ledger_index bigint not null unique,
  drawer ll.code,
  drawer_key text,
  drawn_at timestamptz,
  -- Every test that was considered, with its weight, its chance, and the visit it led to.
  outcome bytea check (octet_length(outcome) between 2 and 20000000),
  outcome_sha256 bytea check (octet_length(outcome_sha256) = 32),
  drawn_salt bytea check (octet_length(drawn_salt) = 16),
  drawn_people_sha256 bytea check (octet_length(drawn_people_sha256) = 32),
  drawn_leaf_hash bytea unique check (octet_length(drawn_leaf_hash) = 32),
  drawn_ledger_index bigint unique,
  unique (program_id, id),
  constraint quality_draw_hash_check
    check (sha256(terms) = terms_sha256 and sha256(seed) = seed_sha256 and sha256(outcome) = outcome_sha256),
  constraint quality_draw_two_persons_check check (drawer <> announcer and drawer_key <> announcer_key),
  constraint quality_draw_drawn_check
    check (num_nulls(drawer, drawer_key, drawn_at, outcome, outcome_sha256, drawn_salt, drawn_people_sha256,
                     drawn_leaf_hash, drawn_ledger_index) in (0, 9))
);
-- The draws of a program: where program_id = … order by id.
create index quality_draw_program on ll.quality_draw (program_id, id);

create function ll.only_draw_once() returns trigger language plpgsql as $$
declare
  drawn constant text[] := '{drawer,drawer_key,drawn_at,outcome,outcome_sha256,drawn_salt,drawn_people_sha256,drawn_leaf_hash,drawn_ledger_index}';
begin
  if old.drawn_at is null and new.drawn_at is not null and to_jsonb(new) - drawn = to_jsonb(old) - drawn then
    return new;
  end if;
  raise exception 'a draw is drawn once and is not changed otherwise' using errcode = '55000';
end $$;
revoke execute on function ll.only_draw_once from public;
create trigger only_draw_once before update on ll.quality_draw for each row execute function ll.only_draw_once();
create trigger append_only before delete or truncate on ll.quality_draw
  for each statement execute function ll.refuse_change();
alter table ll.quality_draw enable always trigger only_draw_once;
alter table ll.quality_draw enable always trigger append_only;

-- What happens to a visit, step by step; the highest turn counts. Turn 0 is the draw itself. Test, plant and program are
-- repeated with each step, so that a firm sees what it is asked to do and nothing of the test it is about.
create table ll.quality_visit_step (
  visit_id uuid not null,
  turn smallint not null check (turn between 0 and 1000),
  draw_id uuid not null,
  program_id uuid not null,
  test_id uuid not null references ll.field_test,
  plant_id uuid not null references ll.plant,
  -- Whose test it is about.
  firm_id uuid not null references ll.firm,
  step text not null check (step in ('drawn', 'assigned', 'taken-back', 'tested-again', 'let-go')),
  assigned_firm uuid references ll.firm,
  test_from date,
  test_until date,
  retest_id uuid references ll.field_test,
  reason text check (reason ~ '^[a-z][a-z-]{1,39}$'),
  key_id text not null,
  at timestamptz not null,
  salt bytea check (octet_length(salt) = 16),
  content_sha256 bytea check (octet_length(content_sha256) = 32),
  leaf_hash bytea unique check (octet_length(leaf_hash) = 32),
  ledger_index bigint unique,
  primary key (visit_id, turn),
  foreign key (program_id, draw_id) references ll.quality_draw (program_id, id),
  constraint quality_visit_step_firms_check check (assigned_firm <> firm_id),
  constraint quality_visit_step_tests_check check (retest_id <> test_id),
  constraint quality_visit_step_drawn_check
    check ((turn = 0) = (step = 'drawn') and num_nulls(salt, content_sha256, leaf_hash, ledger_index) = case turn when 0 then 4 else 0 end),
  constraint quality_visit_step_members_check
    check ((step <> 'assigned' or num_nulls(assigned_firm, test_from, test_until) = 0 and test_from <= test_until)
           and (step = 'tested-again') = (retest_id is not null) and (step = 'let-go') = (reason is not null))
);
-- A test is drawn once for a program, and a re-test stands for one visit.
create unique index quality_visit_step_test on ll.quality_visit_step (program_id, test_id) where turn = 0;
create unique index quality_visit_step_retest on ll.quality_visit_step (program_id, retest_id) where retest_id is not null;
-- The visits of a draw: where draw_id = … order by visit_id. Those of a firm: where assigned_firm = … order by visit_id.
create index quality_visit_step_draw on ll.quality_visit_step (draw_id, visit_id, turn);
create index quality_visit_step_firm on ll.quality_visit_step (assigned_firm, visit_id, turn);

select ll.keep_append_only('ll.quality_visit_step');
select ll.wall_in(t) from unnest(array['ll.quality_draw', 'll.quality_visit_step']::regclass[]) t;

-- Program: its own, and never the seed, which the outcome tells once it is drawn. Auditor: all.
grant select (id, program_id, terms, terms_sha256, seed_sha256, announcer, announced_at, ledger_index, drawer, drawn_at,
              outcome, outcome_sha256, drawn_ledger_index, leaf_hash, drawn_leaf_hash, announcer_key)
  on ll.quality_draw to ll_program;
grant select on ll.quality_visit_step to ll_program;
create policy program on ll.quality_draw for select to ll_program using (program_id = ll.current_program());
create policy program on ll.quality_visit_step for select to ll_program using (program_id = ll.current_program());
grant select on ll.quality_draw, ll.quality_visit_step to ll_auditor;
create policy auditor on ll.quality_draw for select to ll_auditor using (true);
create policy auditor on ll.quality_visit_step for select to ll_auditor using (true);

-- Firm: where it is to test again, and nothing of whose test it is.
grant select (visit_id, turn, program_id, plant_id, step, assigned_firm, test_from, test_until, at)
  on ll.quality_visit_step to ll_firm;
create policy firm on ll.quality_visit_step for select to ll_firm using (assigned_firm = ll.current_firm());

-- Writer: adds; reads the seed for who draws; looks whether a firm has access to a plant.
grant select, insert, update (drawer, drawer_key, drawn_at, outcome, outcome_sha256, drawn_salt, drawn_people_sha256,
                              drawn_leaf_hash, drawn_ledger_index)
  on ll.quality_draw to ll_writer;
grant select, insert on ll.quality_visit_step to ll_writer;
grant select (firm_id, plant_id) on ll.firm_plant to ll_writer;
create policy writer on ll.quality_draw for all to ll_writer using (true) with check (true);
create policy writer on ll.quality_visit_step for all to ll_writer using (true) with check (true);
create policy writer on ll.firm_plant for select to ll_writer using (true);

create function ll.announce_quality_draw(
  draw uuid, program uuid, said bytea, said_hash bytea, secret bytea, secret_hash bytea, person text, key text,
  moment timestamptz, people_salt bytea, people_hash bytea, entry_bytes bytea, leaf bytea
) returns bigint language plpgsql as $$
declare
  place bigint;
begin
  place := ll.append_entry('quality-draw', null, null, entry_bytes, leaf);
  insert into ll.quality_draw (id, program_id, terms, terms_sha256, seed, seed_sha256, announcer, announcer_key,
                               announced_at, salt, people_sha256, leaf_hash, ledger_index)
    values (draw, program, said, said_hash, secret, secret_hash, person, key, moment, people_salt, people_hash, leaf, place);
  return place;
end $$;

-- LL003, with nothing stored, where it was drawn already. 23505 where a test is in another visit of the program by now.
create function ll.write_quality_drawing(
  draw uuid, program uuid, person text, key text, moment timestamptz, told bytea, told_hash bytea, people_salt bytea,
  people_hash bytea, visits uuid[], tests uuid[], plants uuid[], firms uuid[], entry_bytes bytea, leaf bytea
) returns bigint language plpgsql as $$
declare
  place bigint;
begin
  perform from ll.ledger_head for update;
  if not exists (select from ll.quality_draw where id = draw and program_id = program and drawn_at is null) then
    raise exception 'drawn before' using errcode = 'LL003';
  end if;
  place := ll.append_entry('quality-drawing', null, null, entry_bytes, leaf);
  update ll.quality_draw set drawer = person, drawer_key = key, drawn_at = moment, outcome = told,
                             outcome_sha256 = told_hash, drawn_salt = people_salt, drawn_people_sha256 = people_hash,
                             drawn_leaf_hash = leaf, drawn_ledger_index = place
    where id = draw;
  insert into ll.quality_visit_step (visit_id, turn, draw_id, program_id, test_id, plant_id, firm_id, step, key_id, at)
    select visit, 0, draw, program, test, plant, firm, 'drawn', key, moment
    from unnest(visits, tests, plants, firms) drawn (visit, test, plant, firm);
  return place;
end $$;

-- LL003, with nothing stored, where another step came first; LL004 where the firm has no access to the plant.
create function ll.write_quality_visit_step(
  visit uuid, program uuid, this_turn smallint, deed text, by_firm uuid, day_from date, day_until date, again uuid,
  why text, key text, moment timestamptz, step_salt bytea, step_hash bytea, entry_bytes bytea, leaf bytea
) returns bigint language plpgsql as $$
declare
  place bigint;
  before ll.quality_visit_step;
begin
  perform from ll.ledger_head for update;
  select * into before from ll.quality_visit_step
    where visit_id = visit and program_id = program order by turn desc limit 1;
  if before.turn is distinct from this_turn - 1 then
    raise exception 'another step came first' using errcode = 'LL003';
  end if;
  if deed = 'assigned' and not exists (select from ll.firm_plant where firm_id = by_firm and plant_id = before.plant_id) then
    raise exception 'no access to the plant' using errcode = 'LL004';
  end if;
  place := ll.append_entry('quality-visit-step', null, null, entry_bytes, leaf);
  insert into ll.quality_visit_step (visit_id, turn, draw_id, program_id, test_id, plant_id, firm_id, step, assigned_firm,
                                     test_from, test_until, retest_id, reason, key_id, at, salt, content_sha256,
                                     leaf_hash, ledger_index)
    values (visit, this_turn, before.draw_id, program, before.test_id, before.plant_id, before.firm_id, deed,
            by_firm, day_from, day_until, again, why, key, moment, step_salt, step_hash, leaf, place);
  return place;
end $$;
revoke execute on function ll.announce_quality_draw, ll.write_quality_drawing,
  ll.write_quality_visit_step from public;
grant execute on function ll.announce_quality_draw, ll.write_quality_drawing,
  ll.write_quality_visit_step to ll_writer;

-- A program finds the entries of its own draws and visits.
alter policy program on ll.ledger_entry
  using (kind not in ('note', 'note-erased', 'finding-decision', 'finding-decision-erased', 'rule-set')
         and exists (select from ll.field_test given where given.id = ledger_entry.subject)
         or kind = 'finding-decision'
            and exists (select from ll.finding_decision own where own.leaf_hash = ledger_entry.leaf_hash)
         or kind = 'rule-set' and exists (select from ll.rule_set own where own.leaf_hash = ledger_entry.leaf_hash)
         or kind = 'quality-draw' and exists (select from ll.quality_draw own where own.leaf_hash = ledger_entry.leaf_hash)
         or kind = 'quality-drawing'
            and exists (select from ll.quality_draw own where own.drawn_leaf_hash = ledger_entry.leaf_hash)
         or kind = 'quality-visit-step'
            and exists (select from ll.quality_visit_step own where own.leaf_hash = ledger_entry.leaf_hash));
