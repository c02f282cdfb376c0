/** Rule sets on the wire: drafts, what is published, and what the checks say of them. */
import { type Static, Type } from 'typebox'
import { Page } from '../http/cursor.ts'
import { Id } from '../http/ids.ts'
import { CONTRADICTION_CODES, type ContradictionCode } from './rules/contradiction.ts'
import { RuleSetContent } from './rules/schema.ts'

export const part = { additionalProperties: false }
export const Moment = (description: string) => Type.String({ format: 'date-time', maxLength: 40, description })
export const Sha256 = (description: string) =>
  Type.String({ pattern: '^[0-9a-f]{64}$', minLength: 64, maxLength: 64, description })
const Holder = (description: string) => Type.String({ maxLength: 40, description })
export const Version = Type.Integer({ minimum: 1, maximum: 10_000, description: 'Version within the program.' })

const about = {
  id: Id('rule set', 'Id of the rule set.'),
  programId: Id('program', 'Program whose rules they are.'),
  version: Version,
}
const LedgerIndex = Type.Integer({
  minimum: 0,
  maximum: Number.MAX_SAFE_INTEGER,
  description: 'Place of its publication in the ledger.',
})

export const RuleSet = Type.Object(
  {
    ...about,
    state: Type.Enum(['draft', 'published'], { description: 'A draft may be changed, what is published never.' }),
    contentSha256: Sha256('SHA-256 of `content` as canonical JSON (RFC 8785).'),
    authors: Type.Array(Holder('Code of a person.'), { maxItems: 50, description: 'Everyone who wrote on it.' }),
    draftedAt: Moment('When it was drafted.'),
    changedAt: Moment('When the draft was last changed.'),
    publisher: Type.Optional(Holder('Code of the person who published it.')),
    publishedAt: Type.Optional(Moment('When it was published.')),
    ledgerIndex: Type.Optional(LedgerIndex),
    content: RuleSetContent,
  },
  { title: 'RuleSet', description: 'A rule set of a program, as its office sees it.', ...part },
)
export type RuleSet = Static<typeof RuleSet>
export const RuleSetPage = Page('RuleSetPage', RuleSet)

export const PublishedRuleSet = Type.Object(
  {
    ...about,
    contentSha256: Sha256('SHA-256 of `content` as canonical JSON (RFC 8785); it stands in the ledger.'),
    publishedAt: Moment('When it was published.'),
    ledgerIndex: LedgerIndex,
    content: RuleSetContent,
  },
  { title: 'PublishedRuleSet', description: 'A published version of a program’s rules, for everybody.', ...part },
)
export type PublishedRuleSet = Static<typeof PublishedRuleSet>
export const PublishedRuleSetPage = Page('PublishedRuleSetPage', PublishedRuleSet)

const Place = Type.Object(
  {
    id: Type.Optional(Type.String({ maxLength: 80, description: 'Id of the rule, finding or line.' })),
    pointer: Type.String({ maxLength: 300, description: 'JSON Pointer into the rule set.' }),
    version: Type.Optional(Version),
  },
  { title: 'RulePlace', description: 'A rule, in this version unless another is named.', ...part },
)

export const RuleSetChecks = Type.Object(
  {
    contentSha256: Sha256('Of the rules that were checked.'),
    publishable: Type.Boolean({
      description: 'Whether nothing is refused. Two persons and a dry run are asked for beside it.',
    }),
    found: Type.Array(
      Type.Object(
        {
          code: Type.Enum(Object.keys(CONTRADICTION_CODES) as ContradictionCode[], { description: 'What it is.' }),
          severity: Type.Enum(['refused', 'warning'], { description: '`refused`: it is not published with this.' }),
          message: Type.String({ maxLength: 1000, description: 'What was found.' }),
          rules: Type.Array(Place, {
            maxItems: 2,
            description: 'The rules it lies between; one where it lies in one.',
          }),
        },
        { title: 'RuleSetFault', description: 'Something that contradicts something.', ...part },
      ),
      { maxItems: 1000, description: 'All that was found.' },
    ),
  },
  { title: 'RuleSetChecks', description: 'What the checks say of a rule set.', ...part },
)
export type RuleSetChecks = Static<typeof RuleSetChecks>
