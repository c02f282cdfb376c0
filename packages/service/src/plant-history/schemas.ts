/** The history of a plant on the wire, and the consents that open it. */
import { SOUNDNESS } from '@liftledger/calc'
import { type Static, Type } from 'typebox'
import { consentTurn, GrowerConsent } from '../http/consent.ts'
import { Page } from '../http/cursor.ts'
import { Id } from '../http/ids.ts'

const part = { additionalProperties: false }
const Figure = (description: string) => Type.Optional(Type.Number({ description }))

export const PlantHistoryItem = Type.Object(
  {
    source: Type.Enum(['own', 'shared'], {
      description:
        '`own`: a test this key may read in full. `shared`: one of another firm, of which the grower lets these ' +
        'figures be seen, and no more.',
    }),
    testedOn: Type.String({ format: 'date', maxLength: 10, description: 'Date of the visit.' }),
    testId: Type.Optional(Id('test', 'Id of the test; absent where it is shared.')),
    edition: Type.String({ maxLength: 20, description: 'Method edition of the evaluation.' }),
    soundness: Type.Enum([...SOUNDNESS], {
      description: 'What findings make of the test; for a program with its own decisions on them.',
    }),
    overallPlantEfficiency: Figure('Overall plant efficiency as a ratio.'),
    overallPlantEfficiencyLow: Figure('Lower end of its 95 % interval, as a ratio.'),
    overallPlantEfficiencyHigh: Figure('Upper end of its 95 % interval, as a ratio.'),
    specificCapacityM2S: Figure('Specific capacity in m²/s: flow for each metre of drawdown.'),
    liftM: Figure('Lift in m.'),
    flowM3S: Figure('Flow in m³/s; absent where the test is shared.'),
    headM: Figure('Total dynamic head in m; absent where the test is shared.'),
    inputPowerW: Figure('Input power in W; absent where the test is shared.'),
    energyPerVolumeJM3: Figure('Ratio of energy to volume, in J/m³; absent where the test is shared.'),
  },
  { title: 'PlantHistoryItem', description: 'One test in the history of a plant, in its usual condition.', ...part },
)
export type PlantHistoryItem = Static<typeof PlantHistoryItem>
export const PlantHistoryPage = Page('PlantHistoryPage', PlantHistoryItem)

export const HistoryToShare = Type.Object(
  { firmId: Id('firm', 'Firm that gets to see the history.'), consent: GrowerConsent },
  {
    title: 'HistoryToShare',
    description: 'Another firm gets to see this firm’s tests of a plant as figures.',
    ...part,
  },
)

export const HistoryTurn = Type.Object(
  {
    plantId: Id('plant', 'Id of the plant.'),
    firmId: Id('firm', 'Firm that gets to see the history, or no longer does.'),
    ...consentTurn('firm'),
  },
  { title: 'HistoryTurn', description: 'A history opened to another firm, or closed again.', ...part },
)
export type HistoryTurn = Static<typeof HistoryTurn>
export const HistoryTurnPage = Page('HistoryTurnPage', HistoryTurn)
