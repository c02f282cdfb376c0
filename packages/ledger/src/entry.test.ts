import { createHash } from 'node:crypto'
import { describe, expect, test } from 'vitest'
import type { RuleSetEntry } from './entries-of-programs.ts'
import {
  ENTRY_BYTES_MAX,
  EntryError,
  entryBytes,
  type FindingDecisionEntry,
  leafHash,
  type NoteEntry,
  type ReadLogEntry,
  recordedEntryBytes,
  type SigningKeyEntry,
  type TestEntry,
} from './entry.ts'

const blind = '0123456789abcdef'.repeat(2)
const entry: TestEntry = {
  v: 1,
  kind: 'test',
  at: '2026-05-04T09:30:00.000Z',
  firm: 'frm_01JCP6WYRX0000000000000000',
  subject: 'tst_01JCP6WYRX0000000000000001',
  rawSha256: 'a'.repeat(64),
  contextSha256: 'b'.repeat(64),
  evaluationSha256: 'c'.repeat(64),
  edition: '2026-1',
}

describe('ledger entry', () => {
  test('is canonical JSON, whatever the order its members were given in', () => {
    const shuffled = Object.fromEntries(Object.entries(entry).reverse()) as unknown as TestEntry
    const text = Buffer.from(entryBytes(shuffled)).toString('utf8')
    expect(text).toBe(Buffer.from(entryBytes(entry)).toString('utf8'))
    expect(text.startsWith('{"at":"2026-05-04T09:30:00.000Z","contextSha256":"bbb')).toBe(true)
  })

  test.each([
    ['rawSha256', 'A'.repeat(64)],
    ['contextSha256', 'b'.repeat(63)],
    ['evaluationSha256', undefined],
    ['firm', 'tst_01JCP6WYRX0000000000000000'],
    ['subject', 'tst_01jcp6wyrx0000000000000001'],
    ['at', '2026-05-04T09:30:00Z'],
    ['edition', 'latest'],
    ['v', '1'],
    ['kind', 'vote'],
    ['kind', 'toString'],
    ['name', 'Someone'],
  ])('refuses a wrong %s', (member, value) => {
    const wrong = { ...entry, [member]: value } as unknown as TestEntry
    expect(() => entryBytes(wrong)).toThrow(expect.objectContaining({ name: 'EntryError', member }))
  })

  describe('of a note', () => {
    const { v, at, firm, subject } = entry
    const note: NoteEntry = {
      ...{ v, at, firm, subject },
      kind: 'note',
      note: 'nte_01JCP6WYRX0000000000000002',
      noteSha256: 'd'.repeat(64),
    }
    const { noteSha256: _, ...without } = note

    const erased = { ...without, kind: 'note-erased' as const, blind }

    test('holds ids and a hash, of an erased one what blinds it', () => {
      expect(JSON.parse(Buffer.from(entryBytes(note)).toString())).toEqual(note)
      expect(JSON.parse(Buffer.from(entryBytes(erased)).toString())).toEqual(erased)
    })

    test.each([
      ['note', { ...note, note: 'tst_01JCP6WYRX0000000000000002' }],
      ['noteSha256', without],
      ['noteSha256', { ...erased, noteSha256: note.noteSha256 }],
      ['blind', { ...note, blind }],
      ['text', { ...note, text: 'Call the owner' }],
      ['contextSha256', { ...note, kind: 'test' }],
    ])('refuses a wrong %s', (member, wrong) => {
      expect(() => entryBytes(wrong as never)).toThrow(expect.objectContaining({ name: 'EntryError', member }))
    })
  })

  describe('of a signing key', () => {
    const first: SigningKeyEntry = {
      v: 1,
      kind: 'signing-key',
      at: entry.at,
      key: `ledger.example/log+0123abcd+${'A'.repeat(44)}`,
    }
    const next: SigningKeyEntry = {
      ...first,
      key: `ledger.example/log+ffffffff+${'B'.repeat(44)}`,
      replaces: first.key,
    }

    test('concerns no firm, and names the key before it where there was one', () => {
      for (const one of [first, next]) expect(JSON.parse(Buffer.from(entryBytes(one)).toString())).toEqual(one)
    })

    test.each([
      ['key', { ...first, key: undefined }],
      ['key', { ...first, key: 'ledger.example/log+0123abcd' }],
      ['key', { ...first, key: first.key.replace('log', 'lo"g') }],
      ['key', { ...first, key: first.key.replace('log', 'l\\u006fg') }],
      ['replaces', { ...next, replaces: 'none' }],
      ['firm', { ...first, firm: entry.firm }],
    ])('refuses a wrong %s', (member, wrong) => {
      expect(() => entryBytes(wrong as never)).toThrow(expect.objectContaining({ name: 'EntryError', member }))
    })
  })

  describe('of an hour of reads', () => {
    const hour: ReadLogEntry = {
      v: 1,
      kind: 'read-log',
      at: '2026-05-04T10:00:07.000Z',
      hour: '2026-05-04T09:00:00.000Z',
      first: 0,
      count: 12,
      root: 'f'.repeat(64),
    }

    test('says which rows it covers, and names nobody', () => {
      expect(JSON.parse(Buffer.from(entryBytes(hour)).toString())).toEqual(hour)
    })

    test.each([
      ['hour', { ...hour, hour: '2026-05-04T09:30:00.000Z' }],
      ['first', { ...hour, first: -1 }],
      ['first', { ...hour, first: 1.5 }],
      ['count', { ...hour, count: 0 }],
      ['root', { ...hour, root: 'F'.repeat(64) }],
      ['firm', { ...hour, firm: entry.firm }],
    ])('refuses a wrong %s', (member, wrong) => {
      expect(() => entryBytes(wrong as never)).toThrow(expect.objectContaining({ name: 'EntryError', member }))
    })
  })

  describe('of a rule set', () => {
    const rules: RuleSetEntry = {
      v: 1,
      kind: 'rule-set',
      at: entry.at,
      program: 'prg_01JCP6WYRX0000000000000003',
      ruleSet: 'rls_01JCP6WYRX0000000000000007',
      version: 2,
      contentSha256: 'a'.repeat(64),
      peopleSha256: 'b'.repeat(64),
    }

    test('concerns no firm, and names nobody', () => {
      expect(JSON.parse(Buffer.from(entryBytes(rules)).toString())).toEqual(rules)
    })

    test.each([
      ['program', { ...rules, program: entry.firm }],
      ['ruleSet', { ...rules, ruleSet: rules.program }],
      ['version', { ...rules, version: 0 }],
      ['contentSha256', { ...rules, contentSha256: undefined }],
      ['peopleSha256', { ...rules, peopleSha256: 'R-1' }],
      ['firm', { ...rules, firm: entry.firm }],
    ])('refuses a wrong %s', (member, wrong) => {
      expect(() => entryBytes(wrong as never)).toThrow(expect.objectContaining({ name: 'EntryError', member }))
    })
  })

  describe('of what became of a test', () => {
    const { v, at, firm, subject } = entry
    const about = { v, at, firm, subject }
    const revision = {
      ...entry,
      kind: 'revision' as const,
      revises: 'tst_01JCP6WYRX0000000000000009',
      reason: 'misread',
    }
    const withdrawal = { ...about, kind: 'withdrawal' as const, reason: 'sent-twice', blind }
    const decided = {
      ...about,
      program: 'prg_01JCP6WYRX0000000000000003',
      decision: 'fdc_01JCP6WYRX0000000000000004',
    }
    const decision: FindingDecisionEntry = {
      ...decided,
      kind: 'finding-decision',
      finding: 'traverse-points-odd',
      run: 0,
      place: '/runs/0/flow/diameters',
      outcome: 'does-not-stand',
      wordsSha256: 'e'.repeat(64),
    }
    const { run: _, ...ofTheVisit } = decision
    const wordsErased = { ...decided, kind: 'finding-decision-erased' as const, blind }

    test.each([revision, withdrawal, decision, ofTheVisit, wordsErased])(
      'holds ids, codes and hashes: $kind',
      (one) => {
        expect(JSON.parse(Buffer.from(entryBytes(one)).toString())).toEqual(one)
      },
    )

    test.each([
      ['revises', { ...revision, revises: undefined }],
      ['revises', { ...entry, revises: revision.revises }],
      ['reason', { ...revision, reason: 'The gauge was read wrong' }],
      ['reason', { ...withdrawal, reason: '' }],
      ['rawSha256', { ...withdrawal, rawSha256: 'a'.repeat(64) }],
      ['run', { ...decision, run: -1 }],
      ['run', { ...decision, run: undefined }],
      ['outcome', { ...decision, outcome: 'yes' }],
      ['reader', { ...decision, reader: 'R-1' }],
      ['program', { ...decision, program: firm }],
      ['decision', { ...decision, decision: 'nte_01JCP6WYRX0000000000000004' }],
      ['wordsSha256', { ...ofTheVisit, wordsSha256: undefined }],
    ])('refuses a wrong %s', (member, wrong) => {
      expect(() => entryBytes(wrong as never)).toThrow(expect.objectContaining({ name: 'EntryError', member }))
    })
  })

  describe('without a salted hash', () => {
    const { v, at, firm, subject } = entry
    const about = { v, at, firm, subject }
    const bare = [
      { ...about, kind: 'withdrawal' as const, reason: 'sent-twice' },
      { ...about, kind: 'note-erased' as const, note: 'nte_01JCP6WYRX0000000000000002' },
      {
        ...about,
        kind: 'finding-decision-erased' as const,
        program: 'prg_01JCP6WYRX0000000000000003',
        decision: 'fdc_01JCP6WYRX0000000000000004',
      },
    ]

    test.each(bare)('is blinded, so that its leaf hash is found by no trying: $kind', (one) => {
      for (const wrong of [undefined, '', 'f'.repeat(31), 'F'.repeat(32), 32]) {
        const made = wrong === undefined ? one : { ...one, blind: wrong }
        expect(() => entryBytes(made as never)).toThrow(
          expect.objectContaining({ name: 'EntryError', member: 'blind' }),
        )
      }
      const other = { ...one, blind: 'f'.repeat(32) }
      expect(leafHash(entryBytes({ ...one, blind }))).not.toEqual(leafHash(entryBytes(other)))
    })

    test.each(bare)('is read as an earlier version wrote it: $kind', (one) => {
      expect(JSON.parse(Buffer.from(recordedEntryBytes(one)).toString())).toEqual(one)
      expect(recordedEntryBytes({ ...one, blind })).toEqual(entryBytes({ ...one, blind }))
      expect(() => recordedEntryBytes({ ...one, blind: 'x' })).toThrow(expect.objectContaining({ member: 'blind' }))
    })

    test('is that of no other kind', () => {
      const { rawSha256: _, ...lacking } = entry
      expect(() => recordedEntryBytes(lacking as never)).toThrow(expect.objectContaining({ member: 'rawSha256' }))
    })
  })

  // RFC 6962 reference tree: the first leaf is the empty string.
  test('hashes an empty leaf as the reference tree does', () => {
    expect(Buffer.from(leafHash(new Uint8Array())).toString('hex')).toBe(
      '6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d',
    )
  })

  test('puts one zero byte before the entry', () => {
    const bytes = entryBytes(entry)
    const expected = createHash('sha256')
      .update(Buffer.from([0]))
      .update(bytes)
      .digest()
    expect(Buffer.from(leafHash(bytes)).equals(expected)).toBe(true)
  })

  test('refuses more than it may hold', () => {
    expect(() => leafHash(new Uint8Array(ENTRY_BYTES_MAX))).not.toThrow()
    expect(() => leafHash(new Uint8Array(ENTRY_BYTES_MAX + 1))).toThrow(EntryError)
  })
})
