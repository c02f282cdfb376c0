/** Requests for access to a plant on the wire. */
import { type Static, Type } from 'typebox'
import { GrowerConsent } from '../http/consent.ts'
import { Page } from '../http/cursor.ts'
import { Id } from '../http/ids.ts'
import { Code, Moment, part } from './schemas.ts'

export const AccessRequestToMake = Type.Object(
  { plantCode: Code('Code painted at the plant.'), consent: GrowerConsent },
  { title: 'AccessRequestToMake', description: 'A firm asks for access to a plant that another registered.', ...part },
)
const Reason = Type.Enum(['consent-not-shown', 'consent-withdrawn', 'another-plant-meant'], {
  description: 'Why it was declined.',
})
export const AccessRequest = Type.Object(
  {
    id: Id('access request', 'Id of the request.'),
    firmId: Id('firm', 'Firm that asks.'),
    plantCode: Code('Code of the plant.'),
    consent: GrowerConsent,
    requestedAt: Moment('When it was made.'),
    state: Type.Enum(['open', 'granted', 'declined'], { description: 'What an administrator made of it.' }),
    reason: Type.Optional(Reason),
    decidedAt: Type.Optional(Moment('When it was decided.')),
  },
  { title: 'AccessRequest', description: 'A request for access to a plant, with the grower’s consent.', ...part },
)
export type AccessRequest = Static<typeof AccessRequest>
export const AccessRequestPage = Page('AccessRequestPage', AccessRequest)
export const AccessDecision = Type.Object(
  {
    outcome: Type.Enum(['granted', 'declined'], { description: '`granted` gives the firm access at once.' }),
    reason: Type.Optional(Reason),
  },
  { title: 'AccessDecision', description: 'An administrator’s word on a request; final.', ...part },
)
