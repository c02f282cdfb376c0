-- What becomes of a test: a later version takes its place, its firm takes it back, a program decides on its findings.

-- A test stands until it is closed, and it is closed once: by a revision or by a withdrawal. One key over both is
-- what decides between two revisions, or a revision and a withdrawal, that come at the same moment.
create table ll.test_closure (
  test_id uuid primary key,
  firm_id uuid not null,
  how text not null check (how in ('superseded', 'withdrawn')),
  -- The version that took its place.
  successor uuid unique,
  reason text not null check (reason ~ '^[a-z][a-z-]{1,39}$'),
  key_id text not null,
  closed_at timestamptz not null,
  foreign key (firm_id, test_id) references ll.field_test (firm_id, id),
  foreign key (firm_id, successor) references ll.field_test (firm_id, id),
  constraint test_closure_successor_check check ((how = 'superseded') = (successor is not null)),
  constraint test_closure_itself_check check (successor <> test_id)
);

-- What a program's reader decided about a finding of one version. Turns of a program on one finding follow one
-- another; the highest counts. Who decided and why is personal: kept beside the entry in the ledger, and erasable.
create table ll.finding_decision (
  id uuid primary key,
  firm_id uuid not null,
  test_id uuid not null,
  program_id uuid not null references ll.program,
  finding text not null check (finding ~ '^[a-z][a-z0-9-]{0,79}$'),
  -- Null where the finding is about the visit.
  run smallint check (run between 0 and 19),
  place text not null check (length(place) <= 200),
  turn smallint not null check (turn between 1 and 1000),
  outcome text not null check (outcome in ('stands', 'does-not-stand')),
  sha256 ll.digest not null,
  salt bytea check (octet_length(salt) = 16),
  words bytea,
  -- Of its entry in the ledger, so that a program finds the entries of its own decisions.
  leaf_hash ll.digest not null unique,
  key_id text not null,
  decided_at timestamptz not null,
  erased_at timestamptz,
  constraint finding_decision_turn unique nulls not distinct (test_id, program_id, finding, run, place, turn),
  foreign key (firm_id, test_id) references ll.field_test (firm_id, id),
  constraint finding_decision_hash_check check (sha256(salt || words) = sha256),
  constraint finding_decision_erasure_check
    check ((erased_at is null) = (words is not null) and (erased_at is null) = (salt is not null))
);
-- The decisions on a test, in order: where test_id = … order by id.
create index finding_decision_test on ll.finding_decision (test_id, id);

create function ll.only_erase_words() returns trigger language plpgsql as $$
begin
  if old.erased_at is null and new.erased_at is not null
     and to_jsonb(new) - '{salt,words,erased_at}'::text[] = to_jsonb(old) - '{salt,words,erased_at}'::text[] then
    return new;
  end if;
  raise exception 'the words of a decision may be erased once and are not changed otherwise' using errcode = '55000';
end $$;
revoke execute on function ll.only_erase_words() from public;
create trigger only_erase_words before update on ll.finding_decision
  for each row execute function ll.only_erase_words();
create trigger append_only before delete or truncate on ll.finding_decision
  for each statement execute function ll.refuse_change();
alter table ll.finding_decision enable always trigger only_erase_words;
alter table ll.finding_decision enable always trigger append_only;

select ll.keep_append_only('ll.test_closure');
select ll.wall_in(t) from unnest(array['ll.test_closure', 'll.finding_decision']::regclass[]) t;

-- That a test was closed is seen by whoever sees the test.
grant select on ll.test_closure to ll_firm, ll_program, ll_auditor, ll_keeper;
create policy firm on ll.test_closure for select to ll_firm using (firm_id = ll.current_firm());
create policy program on ll.test_closure for select to ll_program
  using (exists (select from ll.field_test given where given.id = test_closure.test_id));
create policy auditor on ll.test_closure for select to ll_auditor using (true);
create policy keeper on ll.test_closure for select to ll_keeper using (true);

-- Decisions are a program's own; the firm whose test it is sees what each decided, and an auditor sees all.
grant select on ll.finding_decision to ll_firm, ll_program, ll_auditor;
create policy firm on ll.finding_decision for select to ll_firm using (firm_id = ll.current_firm());
create policy program on ll.finding_decision for select to ll_program using (program_id = ll.current_program());
create policy auditor on ll.finding_decision for select to ll_auditor using (true);

alter policy program on ll.ledger_entry
  using (kind not in ('note', 'note-erased', 'finding-decision', 'finding-decision-erased')
         and exists (select from ll.field_test given where given.id = ledger_entry.subject)
         or kind = 'finding-decision'
            and exists (select from ll.finding_decision own where own.leaf_hash = ledger_entry.leaf_hash));

-- Writer: adds; of a decision it reads what erasing needs, of programs to whom a revision is given in turn.
grant insert on ll.test_closure to ll_writer;
grant insert (id, firm_id, test_id, program_id, finding, run, place, turn, outcome, sha256, salt, words, leaf_hash,
              key_id, decided_at),
      select (id, program_id, test_id, erased_at), update (salt, words, erased_at) on ll.finding_decision to ll_writer;
grant insert, select (test_id, program_id, turn, consent, consented_at, evidence) on ll.test_program to ll_writer;
create policy writer on ll.test_closure for insert to ll_writer with check (true);
create policy writer on ll.finding_decision for all to ll_writer using (true) with check (true);
create policy writer_reads on ll.test_program for select to ll_writer using (true);
create policy writer on ll.test_program for insert to ll_writer with check (true);

-- Soundness as a program sees it: an answered hold no longer holds, one that was found to stand makes unsound. Only
-- tests in question are looked at: a reject is not decided away. For the role of programs; others have no decisions.
create function ll.soundness_for_program(asked uuid, verdict text, told json) returns text
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
      where decision.test_id = asked and decision.program_id = ll.current_program()
        and decision.finding = hold ->> 'id' and decision.place = hold ->> 'place'
        and decision.run is not distinct from (hold ->> 'run')::smallint
      order by decision.turn desc limit 1) said on true
    where hold ->> 'severity' = 'hold';
  return case when standing > 0 then 'unsound' when open > 0 then 'in-question' else 'sound' end;
end $$;
revoke execute on function ll.soundness_for_program from public;
grant execute on function ll.soundness_for_program to ll_firm, ll_program, ll_auditor, ll_keeper;

-- Writes one test that takes the place of another; answers its index in the ledger. As in write_batch the key comes
-- first and the head of the ledger last. Raises LL001 where the key was used before; 23505 on field_test_successor
-- where another revision came first, on test_closure_pkey where a withdrawal did. `figures` are the main
-- quantities in the order of their columns. Programs that have the revised test have the revision too: the
-- grower's word is about the visit, and a correction must not be kept from who reads what it corrects.
create function ll.write_revision(
  test uuid, firm uuid, plant uuid, tester uuid, day date, arrived timestamptz, method_edition text,
  sheet bytea, sheet_hash bytea, test_salt bytea, context_hash bytea, context_body bytea, evaluation_hash bytea,
  verdict text, told json, figures float8[], key text, version integer, revised uuid, why text,
  idempotency_key text, print bytea, deed text, leaf bytea, entry_bytes bytea
) returns bigint language plpgsql as $$
declare
  added integer;
begin
  if idempotency_key is not null then
    insert into ll.idempotency (firm_id, key, fingerprint, operation, status, resource_id)
      values (firm, idempotency_key, print, deed, 201, test) on conflict do nothing;
    get diagnostics added = row_count;
    if added = 0 then raise exception 'replay in batch' using errcode = 'LL001'; end if;
  end if;
  insert into ll.context_snapshot (firm_id, sha256, plant_id, body)
    values (firm, context_hash, plant, context_body) on conflict do nothing;
  insert into ll.field_test (
      id, firm_id, plant_id, tester_id, tested_on, received_at, edition,
      raw, raw_sha256, salt, context_sha256, evaluation_sha256, soundness, findings,
      flow_m3_s, head_m, lift_m, input_power_w, efficiency,
      efficiency_u, specific_capacity_m2_s, energy_per_volume_j_m3, key_id, revision, revision_of)
    values (test, firm, plant, tester, day, arrived, method_edition,
            sheet, sheet_hash, test_salt, context_hash, evaluation_hash, verdict, told,
            figures[1], figures[2], figures[3], figures[4], figures[5],
            figures[6], figures[7], figures[8], key, version, revised);
  insert into ll.test_closure (test_id, firm_id, how, successor, reason, key_id, closed_at)
    values (revised, firm, 'superseded', test, why, key, arrived);
  insert into ll.test_program (test_id, program_id, turn, consent, consented_at, evidence, recorded_at, firm_id,
                               tested_on, key_id)
    select test, given.program_id, 1, 'given', given.consented_at, given.evidence, arrived, firm, day, key
    from ll.test_program given
    where given.test_id = revised and given.consent = 'given'
      and not exists (select from ll.test_program later
                      where later.test_id = given.test_id and later.program_id = given.program_id
                        and later.turn > given.turn);
  return ll.append_entry('revision', firm, test, entry_bytes, leaf);
end $$;

-- Takes a test back. 23505 on test_closure_pkey where it was closed before.
create function ll.write_withdrawal(test uuid, firm uuid, why text, key text, at timestamptz, entry_bytes bytea,
                                    leaf bytea) returns bigint language plpgsql as $$
begin
  insert into ll.test_closure (test_id, firm_id, how, reason, key_id, closed_at)
    values (test, firm, 'withdrawn', why, key, at);
  return ll.append_entry('withdrawal', firm, test, entry_bytes, leaf);
end $$;

-- Keeps a decision. 23505 on finding_decision_turn where another came at the same moment.
create function ll.write_decision(
  decision uuid, firm uuid, test uuid, program uuid, about text, of_run smallint, at_place text, this_turn smallint,
  said text, hash bytea, words_salt bytea, words_body bytea, key text, at timestamptz, entry_bytes bytea, leaf bytea
) returns bigint language plpgsql as $$
begin
  insert into ll.finding_decision (id, firm_id, test_id, program_id, finding, run, place, turn, outcome, sha256, salt,
                                   words, leaf_hash, key_id, decided_at)
    values (decision, firm, test, program, about, of_run, at_place, this_turn, said, hash, words_salt, words_body,
            leaf, key, at);
  return ll.append_entry('finding-decision', firm, test, entry_bytes, leaf);
end $$;

-- Erases the words of a decision once; answers null, and appends nothing, where they are gone or there are none.
create function ll.erase_decision(decision uuid, firm uuid, test uuid, program uuid, at timestamptz,
                                  entry_bytes bytea, leaf bytea) returns bigint language plpgsql as $$
begin
  update ll.finding_decision set salt = null, words = null, erased_at = at
    where id = decision and test_id = test and program_id = program and erased_at is null;
  if not found then return null; end if;
  return ll.append_entry('finding-decision-erased', firm, test, entry_bytes, leaf);
end $$;
revoke execute on function ll.write_revision, ll.write_withdrawal, ll.write_decision, ll.erase_decision from public;
grant execute on function ll.write_revision, ll.write_withdrawal, ll.write_decision, ll.erase_decision to ll_writer;

-- As in 0010, with what became of the test: which changes, and so comes with every answer, known or not. Few tests
-- are closed: which of those asked for are is one look for each reader, so that a known test costs no second one.
drop function ll.read_tests;
create function ll.read_tests(setting text, readers uuid[], ids uuid[], known bytea[])
  returns table (place integer, is_known boolean, current_soundness text, successor uuid,
                 firm uuid, plant uuid, day date, received timestamptz,
                 method_edition text, verdict text, sheet bytea, sheet_hash bytea, context bytea, context_hash bytea,
                 evaluation_hash bytea, ledger_index bigint, version integer, revises uuid)
  language plpgsql as $$
declare
  said text;
  last integer := 0;
  closed uuid[];
begin
  for k in 1 .. cardinality(ids) loop
    -- The next reader, and the last of the items that are its own.
    if k > last then
      last := k;
      while last < cardinality(ids) and (setting is null or readers[last + 1] is not distinct from readers[k]) loop
        last := last + 1;
      end loop;
      if setting is not null then said := set_config(setting, readers[k]::text, true); end if;
      closed := array(select closure.test_id from ll.test_closure closure where closure.test_id = any (ids[k:last]));
    end if;
    if known[k] is not null then
      place := k;
      successor := null;
      select (test.raw_sha256 || test.context_sha256 || test.evaluation_sha256 || test.edition::bytea) = known[k],
             test.soundness
        into is_known, current_soundness from ll.field_test test where test.id = ids[k];
      if is_known then
        if ids[k] = any (closed) then
          select closure.how, closure.successor into current_soundness, successor
            from ll.test_closure closure where closure.test_id = ids[k];
        elsif setting = 'app.program' and current_soundness = 'in-question' then
          select ll.soundness_for_program(test.id, test.soundness, test.findings)
            into current_soundness from ll.field_test test where test.id = ids[k];
        end if;
        return next;
      end if;
      -- No row: not visible. Another row than the one held: read below.
      continue when is_known is null or is_known;
    end if;
    return query
      select k, false,
             case when closure.how is not null then closure.how
                  when setting = 'app.program' then ll.soundness_for_program(test.id, test.soundness, test.findings)
                  else test.soundness end,
             closure.successor,
             test.firm_id, test.plant_id, test.tested_on, test.received_at, test.edition, test.soundness,
             test.raw, test.raw_sha256::bytea, snapshot.body, test.context_sha256::bytea,
             test.evaluation_sha256::bytea, entry.index, test.revision, test.revision_of
      from ll.field_test test
      join ll.context_snapshot snapshot
        on snapshot.firm_id = test.firm_id and snapshot.sha256 = test.context_sha256
      join ll.ledger_entry entry on entry.subject = test.id and entry.kind in ('test', 'revision')
      left join ll.test_closure closure on closure.test_id = test.id
      where test.id = ids[k];
  end loop;
  -- Nothing of the last reader stays, also where the call is part of a longer transaction.
  if setting is not null then said := set_config(setting, '', true); end if;
end $$;
revoke execute on function ll.read_tests from public;
grant execute on function ll.read_tests to ll_firm, ll_program, ll_auditor, ll_keeper;

-- A shared history shows the version that stands, and nothing that was taken back.
grant select (test_id, how) on ll.test_closure to ll_sharing;
create policy sharing on ll.test_closure for select to ll_sharing
  using (exists (select from ll.field_test shared where shared.id = test_closure.test_id));
grant create on schema ll to ll_sharing;
set role ll_sharing;
create or replace function ll.shared_history(asked_plant uuid, after_day date, after_id uuid, at_most integer)
  returns table (id uuid, tested_on date, edition text, soundness text, efficiency double precision,
                 efficiency_u double precision, specific_capacity_m2_s double precision, lift_m double precision)
  language sql stable security definer set search_path = ll, pg_temp as $$
  select test.id, test.tested_on, test.edition, test.soundness, test.efficiency,
         test.efficiency_u, test.specific_capacity_m2_s, test.lift_m
  from ll.field_test test
  where test.plant_id = asked_plant and (test.tested_on, test.id) > (after_day, after_id)
    and not exists (select from ll.test_closure closed where closed.test_id = test.id)
  order by test.tested_on, test.id
  limit at_most;
$$;
set role ll_owner;
revoke create on schema ll from ll_sharing;
