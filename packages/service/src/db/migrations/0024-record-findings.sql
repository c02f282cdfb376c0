-- Findings decided from the record: what other tests say of a test. Not part of a submission: each test is compared,
-- in the order of the ledger, with what stood before it there, and gets an entry of its own with the hash of what was
-- found, also where nothing was.

create function ll.worse_soundness(one text, other text) returns text language sql immutable parallel safe
  return case when 'unsound' in (one, coalesce(other, one)) then 'unsound'
              when 'in-question' in (one, coalesce(other, one)) then 'in-question'
              else 'sound' end;
revoke execute on function ll.worse_soundness from public;
grant execute on function ll.worse_soundness to ll_firm, ll_program, ll_auditor, ll_keeper, ll_statistics, ll_sharing;

-- That a test was compared, and how many findings of each severity came of it. Whoever sees the test sees this.
create table ll.record_comparison (
  test_id uuid primary key,
  firm_id uuid not null,
  plant_id uuid not null,
  -- Counts from 0 in the order of the ledger, without gaps: how many tests it came after.
  ordinal bigint not null unique check (ordinal >= 0),
  -- Of the test: it was compared with what has a lower one.
  ledger_index bigint not null unique check (ledger_index >= 0),
  edition text not null check (edition ~ '^[0-9]{4}-[0-9]{1,3}$'),
  -- Over the salt and the findings as canonical JSON, as in the entry.
  sha256 ll.digest not null,
  salt bytea not null check (octet_length(salt) = 16),
  rejects smallint not null check (rejects between 0 and 500),
  holds smallint not null check (holds between 0 and 500),
  cautions smallint not null check (cautions between 0 and 500),
  notes smallint not null check (notes between 0 and 500),
  -- What the record makes of the test, beside what its own findings do.
  verdict text not null generated always as
    (case when rejects > 0 then 'unsound' when holds > 0 then 'in-question' else 'sound' end) stored,
  compared_at timestamptz not null,
  foreign key (firm_id, test_id) references ll.field_test (firm_id, id)
);
-- The last tests of a plant before one: where plant_id = … and ordinal < … order by ordinal desc.
create index record_comparison_plant on ll.record_comparison (plant_id, ordinal);

-- One finding, in words that name no other test.
create table ll.record_finding (
  test_id uuid not null references ll.record_comparison,
  n smallint not null check (n between 0 and 499),
  firm_id uuid not null,
  finding text not null check (finding ~ '^[a-z][a-z0-9-]{0,79}$'),
  severity text not null check (severity in ('reject', 'hold', 'caution', 'note')),
  -- Null where the finding is about the visit.
  run smallint check (run between 0 and 19),
  place text not null check (length(place) <= 200),
  message text not null check (length(message) <= 2000),
  remedy text not null check (length(remedy) <= 2000),
  -- Figures it used of the test itself, and limits of the edition.
  figures json not null check (json_typeof(figures) = 'array'),
  limits json not null check (json_typeof(limits) = 'array'),
  -- Over the salt of the comparison and what the finding rests on, as canonical JSON: the findings can be shown, and
  -- held against their hash, without it.
  basis_sha256 ll.digest not null,
  primary key (test_id, n)
);

-- Which other tests a finding rests on, and figures of theirs. Seen only by who may see every one of these tests.
create table ll.record_finding_basis (
  test_id uuid not null,
  n smallint not null,
  firm_id uuid not null,
  against uuid[] not null,
  figures json not null check (json_typeof(figures) = 'array'),
  primary key (test_id, n),
  foreign key (test_id, n) references ll.record_finding
);

-- Windows of successive readings, by the first 8 bytes of their SHA-256: where to look for readings used before. Made
-- from sheets, and only ever a reason to compare two of them.
create table ll.reading_window (
  hash bigint not null,
  -- Of the test in ll.record_comparison.
  ordinal bigint not null,
  primary key (hash, ordinal)
);

select ll.keep_append_only(t), ll.wall_in(t)
  from unnest(array['ll.record_comparison', 'll.record_finding', 'll.record_finding_basis', 'll.reading_window']::regclass[]) t;

grant select on ll.record_comparison, ll.record_finding to ll_firm, ll_program, ll_auditor, ll_keeper, ll_statistics;
grant select on ll.record_finding_basis to ll_firm, ll_program, ll_auditor;
grant select on ll.reading_window to ll_keeper;
create policy firm on ll.record_comparison for select to ll_firm using (firm_id = ll.current_firm());
create policy firm on ll.record_finding for select to ll_firm using (firm_id = ll.current_firm());
create policy firm on ll.record_finding_basis for select to ll_firm
  using (firm_id = ll.current_firm()
         and not exists (select from unnest(against) other
                         where not exists (select from ll.field_test own where own.id = other)));
create policy program on ll.record_comparison for select to ll_program
  using (exists (select from ll.field_test given where given.id = record_comparison.test_id));
create policy program on ll.record_finding for select to ll_program
  using (exists (select from ll.field_test given where given.id = record_finding.test_id));
create policy program on ll.record_finding_basis for select to ll_program
  using (exists (select from ll.field_test given where given.id = record_finding_basis.test_id)
         and not exists (select from unnest(against) other
                         where not exists (select from ll.field_test given where given.id = other)));
create policy auditor on ll.record_comparison for select to ll_auditor using (true);
create policy auditor on ll.record_finding for select to ll_auditor using (true);
create policy auditor on ll.record_finding_basis for select to ll_auditor using (true);
create policy keeper on ll.record_comparison for select to ll_keeper using (true);
create policy keeper on ll.record_finding for select to ll_keeper using (true);
create policy keeper on ll.reading_window for select to ll_keeper using (true);
create policy statistics on ll.record_comparison for select to ll_statistics using (true);
create policy statistics on ll.record_finding for select to ll_statistics using (true);

grant insert (test_id, firm_id, plant_id, ordinal, ledger_index, edition, sha256, salt, rejects, holds, cautions, notes,
              compared_at), select (ordinal) on ll.record_comparison to ll_writer;
grant insert on ll.record_finding, ll.record_finding_basis, ll.reading_window to ll_writer;
create policy writer on ll.record_comparison for insert to ll_writer with check (true);
create policy writer_reads on ll.record_comparison for select to ll_writer using (true);
create policy writer on ll.record_finding for insert to ll_writer with check (true);
create policy writer on ll.record_finding_basis for insert to ll_writer with check (true);
create policy writer on ll.reading_window for insert to ll_writer with check (true);

-- Writes what came of comparing the next tests, each with its entry; answers the index of the first entry. Null, with
-- nothing written, where another process compared them meanwhile: `after` is how many were compared before. The head of
-- the ledger comes last, so that submissions wait for no more than the commit.
create function ll.write_comparisons(after bigint, tests json, findings json, windows bigint[], ordinals bigint[],
                                     at timestamptz) returns bigint language plpgsql as $$
declare
  added integer;
  first_index bigint;
begin
  perform pg_advisory_xact_lock(7302011999);
  if (select coalesce(max(ordinal) + 1, 0) from ll.record_comparison) <> after then return null; end if;
  insert into ll.record_comparison (test_id, firm_id, plant_id, ordinal, ledger_index, edition, sha256, salt,
                                    rejects, holds, cautions, notes, compared_at)
    select test, firm, plant, ordinal, ledger_index, edition, decode(sha256, 'hex'), decode(salt, 'hex'),
           rejects, holds, cautions, notes, at
    from json_to_recordset(tests) one(test uuid, firm uuid, plant uuid, ordinal bigint, ledger_index bigint, edition text,
                                      sha256 text, salt text, rejects smallint, holds smallint, cautions smallint,
                                      notes smallint);
  get diagnostics added = row_count;
  insert into ll.record_finding (test_id, n, firm_id, finding, severity, run, place, message, remedy,
                                figures, limits, basis_sha256)
    select test, n, firm, finding, severity, run, place, message, remedy, figures, limits, decode(basis_sha256, 'hex')
    from json_to_recordset(findings) one(test uuid, n smallint, firm uuid, finding text, severity text, run smallint,
                                      place text, message text, remedy text, figures json, limits json, basis_sha256 text);
  insert into ll.record_finding_basis (test_id, n, firm_id, against, figures)
    select test, n, firm, array(select value::uuid from json_array_elements_text(against)), figures_of_others
    from json_to_recordset(findings) one(test uuid, n smallint, firm uuid, against json, figures_of_others json);
  insert into ll.reading_window (hash, ordinal) select * from unnest(windows, ordinals);
  update ll.ledger_head set next = next + added returning next - added into first_index;
  insert into ll.ledger_entry (index, leaf_hash, entry, kind, firm_id, subject)
    select first_index + ordinal - after, decode(leaf, 'hex'), decode(entry, 'hex'), 'record-findings', firm, test
    from json_to_recordset(tests) one(test uuid, firm uuid, ordinal bigint, leaf text, entry text);
  return first_index;
end $$;
revoke execute on function ll.write_comparisons from public;
grant execute on function ll.write_comparisons to ll_writer;

-- As in 0020, with the holds of the record among those that are decided on.
create or replace function ll.soundness_by(program uuid, asked uuid, verdict text, told json) returns text
  language plpgsql stable as $$
declare
  by_record text;
  standing integer;
  open integer;
begin
  if verdict = 'unsound' then return verdict; end if;
  select comparison.verdict into by_record from ll.record_comparison comparison where comparison.test_id = asked;
  if ll.worse_soundness(verdict, by_record) <> 'in-question' then return ll.worse_soundness(verdict, by_record); end if;
  select count(*) filter (where said.outcome = 'stands'), count(*) filter (where said.outcome is null)
    into standing, open
    from (select own ->> 'id' as finding, (own ->> 'run')::smallint as run, own ->> 'place' as place
          from json_array_elements(told) own where own ->> 'severity' = 'hold'
          union all
          select beside.finding, beside.run, beside.place from ll.record_finding beside
          where beside.test_id = asked and beside.severity = 'hold') hold
    left join lateral (
      select decision.outcome from ll.finding_decision decision
      where decision.test_id = asked and decision.program_id = program
        and decision.finding = hold.finding and decision.place = hold.place
        and decision.run is not distinct from hold.run
      order by decision.turn desc limit 1) said on true;
  return case when standing > 0 then 'unsound' when open > 0 then 'in-question' else 'sound' end;
end $$;

-- Statistics: that the record made something else of a test is one more row, and so is what it makes of a test that a
-- program decided on before.
alter table ll.test_fact drop constraint test_fact_happened_check, drop constraint test_fact_verdict_check;
alter table ll.test_fact
  add constraint test_fact_happened_check
    check (happened in ('test', 'superseded', 'withdrawn', 'decided', 'given', 'taken-back', 'compared')),
  add constraint test_fact_verdict_check check ((happened in ('test', 'decided', 'compared')) = (soundness is not null));

grant create on schema ll to ll_statistics;
set role ll_statistics;
create function ll.note_comparison() returns trigger language plpgsql security definer set search_path = ll, pg_temp as $$
declare
  entries bigint;
begin
  perform ll.hold_facts();
  select next into entries from ll.ledger_head;
  insert into ll.test_fact (happened, ledger_size, test_id, firm_id, plant_id, program_id, soundness)
    select 'compared', entries, test.id, test.firm_id, test.plant_id, null::uuid,
           ll.worse_soundness(test.soundness, new.verdict)
      from ll.field_test test where test.id = new.test_id
    union all
    select 'decided', entries, test.id, test.firm_id, test.plant_id, by.program_id,
           ll.soundness_by(by.program_id, test.id, test.soundness, test.findings)
      from ll.field_test test
      join (select distinct program_id from ll.finding_decision where test_id = new.test_id) by on true
      where test.id = new.test_id;
  return null;
end $$;
revoke execute on function ll.note_comparison() from public;
grant execute on function ll.note_comparison() to ll_owner;
set role ll_owner;
revoke create on schema ll from ll_statistics;
create constraint trigger note_comparison after insert on ll.record_comparison
  deferrable initially deferred for each row when (new.rejects + new.holds > 0) execute function ll.note_comparison();
alter table ll.record_comparison enable always trigger note_comparison;

-- As in 0013, with whether and when the test was compared, how many findings came of it, and what they make of it.
drop function ll.read_tests;
create function ll.read_tests(setting text, readers uuid[], ids uuid[], known bytea[])
  returns table (place integer, is_known boolean, current_soundness text, successor uuid,
                 compared_at timestamptz, found_beside smallint,
                 firm uuid, plant uuid, day date, received timestamptz,
                 method_edition text, verdict text, sheet bytea, sheet_hash bytea, context bytea, context_hash bytea,
                 evaluation_hash bytea, ledger_index bigint, version integer, revises uuid)
  language plpgsql as $$
declare
  said text;
  last integer := 0;
  closed uuid[];
  compared uuid[];
  times timestamptz[];
  counts smallint[];
  verdicts text[];
  n integer;
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
      select array_agg(comparison.test_id), array_agg(comparison.compared_at), array_agg(comparison.verdict),
             array_agg(comparison.rejects + comparison.holds + comparison.cautions + comparison.notes)
        into compared, times, verdicts, counts
        from ll.record_comparison comparison where comparison.test_id = any (ids[k:last]);
    end if;
    if known[k] is not null then
      place := k;
      successor := null;
      select (test.raw_sha256 || test.context_sha256 || test.evaluation_sha256 || test.edition::bytea) = known[k],
             test.soundness
        into is_known, current_soundness from ll.field_test test where test.id = ids[k];
      if is_known then
        n := array_position(compared, ids[k]);
        compared_at := times[n];
        found_beside := counts[n];
        if ids[k] = any (closed) then
          select closure.how, closure.successor into current_soundness, successor
            from ll.test_closure closure where closure.test_id = ids[k];
        else
          current_soundness := ll.worse_soundness(current_soundness, verdicts[n]);
          if setting = 'app.program' and current_soundness = 'in-question' then
            select ll.soundness_for_program(test.id, test.soundness, test.findings)
              into current_soundness from ll.field_test test where test.id = ids[k];
          end if;
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
                  else ll.worse_soundness(test.soundness, comparison.verdict) end,
             closure.successor, comparison.compared_at,
             comparison.rejects + comparison.holds + comparison.cautions + comparison.notes,
             test.firm_id, test.plant_id, test.tested_on, test.received_at, test.edition, test.soundness,
             test.raw, test.raw_sha256::bytea, snapshot.body, test.context_sha256::bytea,
             test.evaluation_sha256::bytea, entry.index, test.revision, test.revision_of
      from ll.field_test test
      join ll.context_snapshot snapshot
        on snapshot.firm_id = test.firm_id and snapshot.sha256 = test.context_sha256
      join ll.ledger_entry entry on entry.subject = test.id and entry.kind in ('test', 'revision')
      left join ll.test_closure closure on closure.test_id = test.id
      left join ll.record_comparison comparison on comparison.test_id = test.id
      where test.id = ids[k];
  end loop;
  -- Nothing of the last reader stays, also where the call is part of a longer transaction.
  if setting is not null then said := set_config(setting, '', true); end if;
end $$;
revoke execute on function ll.read_tests from public;
grant execute on function ll.read_tests to ll_firm, ll_program, ll_auditor, ll_keeper;

-- As in 0013, with what the record makes of each test.
grant select (test_id, verdict) on ll.record_comparison to ll_sharing;
create policy sharing on ll.record_comparison for select to ll_sharing
  using (exists (select from ll.field_test shared where shared.id = record_comparison.test_id));
grant create on schema ll to ll_sharing;
set role ll_sharing;
create or replace function ll.shared_history(asked_plant uuid, after_day date, after_id uuid, at_most integer)
  returns table (id uuid, tested_on date, edition text, soundness text, efficiency double precision,
                 efficiency_u double precision, specific_capacity_m2_s double precision, lift_m double precision)
  language sql stable security definer set search_path = ll, pg_temp as $$
  select test.id, test.tested_on, test.edition,
         ll.worse_soundness(test.soundness, (select comparison.verdict from ll.record_comparison comparison
                                             where comparison.test_id = test.id)),
         test.efficiency, test.efficiency_u, test.specific_capacity_m2_s, test.lift_m
  from ll.field_test test
  where test.plant_id = asked_plant and (test.tested_on, test.id) > (after_day, after_id)
    and not exists (select from ll.test_closure closed where closed.test_id = test.id)
  order by test.tested_on, test.id
  limit at_most;
$$;
set role ll_owner;
revoke create on schema ll from ll_sharing;
