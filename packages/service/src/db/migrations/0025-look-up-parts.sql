-- As in 0011, with plants, testers and instruments asked for apart: a firm's tests of one time are of many plants, of
-- few testers, with the same instruments. `place` counts from 1 among the questions of its kind.
--
-- Always through an index: a plan that a connection made while a table was small would read it from end to end after
-- many plants were registered, until the server has counted it anew.
drop function ll.look_up;
create function ll.look_up(
  plant_readers uuid[], plant_codes text[], plant_days date[],
  tester_readers uuid[], tester_codes text[],
  instrument_readers uuid[], instrument_codes text[], instrument_days date[]
) returns table (what text, place integer, id uuid, code text, kind text, region text, revision integer,
                 effective_from date, facts text)
  language plpgsql set enable_seqscan = off set enable_hashjoin = off set enable_mergejoin = off as $$
declare
  asking uuid;
begin
  for asking in select distinct r from unnest(plant_readers || tester_readers || instrument_readers) r loop
    perform set_config('app.firm', asking::text, true);
    return query
      select 'plant', q.place::integer, plant.id, plant.code::text, plant.kind, plant.region::text,
             equipment.revision, equipment.effective_from, equipment.facts::text
      from unnest(plant_readers, plant_codes, plant_days) with ordinality q(reader, code, day, place)
      join ll.plant on plant.code = q.code
      left join lateral (
        select e.revision, e.effective_from, e.facts
        from ll.plant_equipment e
        where e.plant_id = plant.id and e.effective_from <= q.day
        order by e.effective_from desc, e.revision desc
        limit 1
      ) equipment on true
      where q.reader = asking;
    return query
      select 'tester', q.place::integer, tester.id, tester.code::text, null::text, null::text, null::integer, null::date,
             (select coalesce(json_agg(json_build_object('code', held.code, 'validFrom', held.valid_from,
                                                         'validUntil', held.valid_until)), '[]')::text
              from (
                select last_word.code, last_word.valid_from, last_word.valid_until
                from (
                  select distinct on (t.code, t.valid_from) t.code, t.valid_from, t.valid_until, t.withdrawn
                  from ll.tester_qualification t
                  where t.tester_id = tester.id
                  order by t.code, t.valid_from, t.revision desc
                ) last_word
                where not last_word.withdrawn
                order by last_word.valid_from desc, last_word.code
                limit 20
              ) held)
      from unnest(tester_readers, tester_codes) with ordinality q(reader, code, place)
      join ll.tester on tester.firm_id = q.reader and tester.code = q.code
      where q.reader = asking;
    return query
      select 'instrument', q.place::integer, instrument.id, instrument.code::text, instrument.kind, null::text,
             in_force.revision, in_force.effective_from, in_force.facts::text
      from unnest(instrument_readers, instrument_codes, instrument_days) with ordinality q(reader, code, day, place)
      join ll.instrument on instrument.firm_id = q.reader and instrument.code = q.code
      left join lateral (
        select i.revision, i.effective_from, i.facts
        from ll.instrument_revision i
        where i.instrument_id = instrument.id and i.effective_from <= q.day
        order by i.effective_from desc, i.revision desc
        limit 1
      ) in_force on true
      where q.reader = asking;
  end loop;
  -- Nothing of the last reader stays, also where the call is part of a longer transaction.
  perform set_config('app.firm', '', true);
end $$;
revoke execute on function ll.look_up from public;
grant execute on function ll.look_up to ll_firm;
