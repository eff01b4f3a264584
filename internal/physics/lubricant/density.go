package lubricant

// Density is the density at a temperature from that at 15 °C.
//
//	ρ = ρ₁₅ (1 − β (T − 15))
//
// Shapes: scalars -> scalar.
// Units:  kg/m³, 1/K, °C -> kg/m³.
// Errors: none; NewOil has refused what would not be positive.
// Valid:  mineral and synthetic engine oils to within 1 % from 0 to 150 °C with β
// = 0.00065/K, from memory.
// Source: common practice, no source.
func Density(at15, expansion, t float64) float64 { return at15 * (1 - expansion*(t-15)) }

// UsualExpansion is β of engine oils, from memory.
const UsualExpansion = 0.00065 // 1/K
