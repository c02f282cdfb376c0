/** What the API says about the ledger. */
import { type Static, type TProperties, Type } from 'typebox'
import { Id } from '../http/ids.ts'

export const Count = (description: string) =>
  Type.Integer({ minimum: 0, maximum: Number.MAX_SAFE_INTEGER, description })
const Hash = (description: string) =>
  Type.String({ pattern: '^[0-9a-f]{64}$', minLength: 64, maxLength: 64, description })
const Instant = (description: string) => Type.String({ format: 'date-time', maxLength: 30, description })

const Path = Type.Array(Hash('SHA-256, hexadecimal.'), { maxItems: 128, description: 'Hashes, lowest first.' })

export const LedgerKeys = Type.Object(
  {
    origin: Type.String({ maxLength: 200, description: 'Name of the log, and of each of its keys.' }),
    items: Type.Array(
      Type.Object(
        {
          key: Type.String({ maxLength: 300, description: 'Verifier key (C2SP signed-note): `name+id+key`.' }),
          index: Count('Place of the entry by which it came into force.'),
          since: Instant('When it came into force.'),
          until: Type.Optional(
            Instant('When another took its place; it may sign beside that one for 30 days more. Absent: in force.'),
          ),
        },
        { title: 'LedgerKey', description: 'A key that signs checkpoints and receipts.', additionalProperties: false },
      ),
      { maxItems: 1_000, description: 'In the order in which they came into force.' },
    ),
  },
  { title: 'LedgerKeys', description: 'The keys of the log.', additionalProperties: false },
)

const Link = (description: string) => Type.String({ maxLength: 200, description })
const links = <P extends TProperties>(title: string, properties: P) =>
  Type.Object(properties, { title, description: 'Where to read on.', additionalProperties: false })

export const LedgerEntry = Type.Object(
  {
    index: Count('Place in the ledger, from 0.'),
    leafHash: Hash('SHA-256(0x00 ‖ entry), hexadecimal: the leaf of the tree.'),
    kind: Type.String({ maxLength: 40, description: 'What happened; `test` is a submitted test.' }),
    test: Type.Optional(Id('test', 'The test it is about.')),
    firm: Type.Optional(Id('firm', 'The firm it concerns.')),
    entry: Type.String({ maxLength: 4_000, description: 'The entry: canonical JSON (RFC 8785), as it was hashed.' }),
    links: links('LedgerEntryLinks', {
      inclusion: Link('Proof that it is in the tree of the newest checkpoint.'),
      test: Type.Optional(Link('The test it is about.')),
      bundle: Type.Optional(Link('All it takes to verify that test offline.')),
    }),
  },
  { title: 'LedgerEntry', description: 'One entry of the ledger.', additionalProperties: false },
)

export type LedgerEntry = Static<typeof LedgerEntry>

export const InclusionProof = Type.Object(
  {
    index: Count('Place of the entry.'),
    size: Count('Entries in the tree that the proof is for.'),
    leafHash: Hash('Leaf of the entry.'),
    root: Hash('Root of the tree of that size; hold it against a signed checkpoint.'),
    proof: Path,
    links: links('InclusionProofLinks', {
      checkpoint: Link('The signed checkpoint over that tree; not there where none of that size was signed.'),
    }),
  },
  {
    title: 'InclusionProof',
    description: 'Leads from an entry to the root of the tree (RFC 6962, 2.1.1).',
    additionalProperties: false,
  },
)

export const ConsistencyProof = Type.Object(
  {
    from: Count('Entries in the earlier tree.'),
    to: Count('Entries in the later tree.'),
    fromRoot: Hash('Root of the earlier tree.'),
    toRoot: Hash('Root of the later tree; hold both against signed checkpoints.'),
    proof: Path,
  },
  {
    title: 'ConsistencyProof',
    description: 'Shows that the later tree continues the earlier one (RFC 6962, 2.1.2).',
    additionalProperties: false,
  },
)
