import pg from 'pg'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { cloneDatabase } from '../../../../tests/setup/database.ts'
import {
  byteaArray,
  dateArray,
  float8Array,
  int4Array,
  jsonArray,
  textArray,
  timestamptzArray,
  uuidArray,
} from './binary-array.ts'

/** What the server reads from each array, as text; the text form is the server's own. */
const arrays = [
  {
    type: 'uuid',
    sent: uuidArray(['01932c6e-7b1d-7c1e-9a55-0d6c1c2f7f10', null, 'FFFFFFFF-FFFF-FFFF-FFFF-FFFFFFFFFFFF']),
    read: ['01932c6e-7b1d-7c1e-9a55-0d6c1c2f7f10', null, 'ffffffff-ffff-ffff-ffff-ffffffffffff'],
  },
  {
    type: 'bytea',
    sent: byteaArray([Buffer.from('00ff5c', 'hex'), null, Buffer.alloc(0)]),
    read: ['\\x00ff5c', null, '\\x'],
  },
  {
    type: 'text',
    sent: textArray(['lift', null, '', 'Grundwasserspiegel ü 水 🜄', '{"a",b}', 'NULL']),
    read: ['lift', null, '', 'Grundwasserspiegel ü 水 🜄', '{"a",b}', 'NULL'],
  },
  {
    type: 'date',
    sent: dateArray([
      '2000-01-01',
      null,
      '1999-12-31',
      '2026-05-04',
      '2024-02-29',
      '2024-02-29',
      null,
      '2024-02-29',
      '1900-03-01',
    ]),
    read: [
      '2000-01-01',
      null,
      '1999-12-31',
      '2026-05-04',
      '2024-02-29',
      '2024-02-29',
      null,
      '2024-02-29',
      '1900-03-01',
    ],
  },
  {
    type: 'timestamptz',
    sent: timestamptzArray([new Date('2026-05-04T18:30:15.250Z'), null, new Date('1969-12-31T23:59:59.999Z')]),
    read: ['2026-05-04 18:30:15.25+00', null, '1969-12-31 23:59:59.999+00'],
  },
  {
    type: 'float8',
    sent: float8Array([0.1, null, -0, 5e-324, 1.7976931348623157e308, undefined]),
    read: ['0.1', null, '-0', '5e-324', '1.7976931348623157e+308', null],
  },
  { type: 'int4', sent: int4Array([0, null, -2147483648, 2147483647]), read: ['0', null, '-2147483648', '2147483647'] },
  { type: 'json', sent: jsonArray(['[]', null, '{"id": 1.50}']), read: ['[]', null, '{"id": 1.50}'] },
]

describe('a binary array', () => {
  let drop: () => Promise<void>
  let client: pg.Client

  beforeAll(async () => {
    const database = await cloneDatabase()
    drop = database.drop
    client = new pg.Client({ connectionString: database.url, options: '-c timezone=UTC' })
    await client.connect()
  })
  afterAll(async () => {
    await client.end()
    await drop()
  })

  test.each(arrays)('of $type is read by the server as it was meant', async ({ type, sent, read }) => {
    const { rows } = await client.query(`select array(select e::text from unnest($1::${type}[]) e) as elements`, [sent])
    expect(rows[0].elements).toEqual(read)
  })

  test.each(arrays)('of $type equals what the server itself sends', async ({ type, sent }) => {
    const { rows } = await client.query(`select array_send($1::${type}[]) as bytes`, [sent])
    expect(rows[0].bytes.toString('hex')).toBe(sent.toString('hex'))
  })

  test('may be empty', async () => {
    for (const sent of [uuidArray([]), textArray([]), float8Array([])]) expect(sent).toHaveLength(12)
    const { rows } = await client.query('select cardinality($1::uuid[]) as size', [uuidArray([])])
    expect(rows[0].size).toBe(0)
  })
})

describe('a value that its type does not have', () => {
  test.each(['2026-02-30', '2026-5-4', '2026-05-04T00:00:00Z', 'today', ''])('is refused as a date: %s', (value) => {
    expect(() => dateArray([value])).toThrow(/YYYY-MM-DD/)
    expect(() => dateArray(['2026-05-04', value])).toThrow(/YYYY-MM-DD/)
  })
  test.each(['', 'tst_01JCP6WYRX', '01932c6e7b1d7c1e9a550d6c1c2f7f10', '01932c6e-7b1d-7c1e-9a55-0d6c1c2f7f1g'])(
    'is refused as a uuid: %s',
    (value) => expect(() => uuidArray([value])).toThrow(/uuid must look like/),
  )
  test('is refused as an integer or an instant', () => {
    expect(() => int4Array([1.5])).toThrow(RangeError)
    expect(() => int4Array([2 ** 31])).toThrow(RangeError)
    expect(() => timestamptzArray([new Date(Number.NaN)])).toThrow(RangeError)
  })
})
