package thermal

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// waterRow is water at one temperature: saturation pressure and latent heat of
// IAPWS-IF97, density and heat capacity at 101.325 kPa of IAPWS-95 (the last
// row saturated), computed with an independent implementation.
type waterRow struct{ celsius, kilopascal, density, heat, latent float64 }

var waterTable = []waterRow{
	{0.01, 0.611657, 999.844, 4.21941, 2500.91},
	{10, 1.228184, 999.702, 4.19516, 2477.21},
	{20, 2.339215, 998.207, 4.18405, 2453.55},
	{25, 3.169747, 997.048, 4.18131, 2441.71},
	{30, 4.246688, 995.649, 4.17982, 2429.84},
	{40, 7.384427, 992.216, 4.17941, 2406.00},
	{50, 12.351270, 988.035, 4.18134, 2381.97},
	{60, 19.945802, 983.196, 4.18495, 2357.69},
	{70, 31.200636, 977.765, 4.19007, 2333.08},
	{80, 47.414720, 971.790, 4.19675, 2308.07},
	{90, 70.182361, 965.310, 4.20521, 2282.56},
	{100, 101.417978, 958.354, 4.21665, 2256.47},
	// Between the whole tens, off the points that anybody would fit to.
	{5, 0.872574861, 999.966634, 4.20503769, 2489.05236},
	{15, 1.705744874, 999.102621, 4.18846062, 2465.37990},
	{33, 5.035083376, 994.704759, 4.17938621, 2422.70361},
	{47, 10.625871616, 989.362072, 4.18056936, 2389.20603},
	{55, 15.761413530, 985.693087, 4.18295650, 2369.86881},
	{65, 25.041097904, 980.550828, 4.18732203, 2345.43155},
	{73, 35.477514802, 976.027507, 4.19190065, 2325.62258},
	{85, 57.867454870, 968.611440, 4.20074385, 2295.37985},
	{95, 84.608938401, 961.887917, 4.21017102, 2269.59541},
}

func TestWaterAgainstIAPWS(t *testing.T) {
	for _, row := range waterTable {
		kelvin := row.celsius + ZeroCelsius
		assert.InEpsilon(t, row.kilopascal*1e3, SaturationPressure(kelvin), 1e-6, "pressure at %g degC", row.celsius)
		assert.InDelta(t, row.density, WaterDensity(kelvin), 0.02, "density at %g degC", row.celsius)
		// The saturated row is of IAPWS-IF97, which differs by 0.02 % there.
		assert.InEpsilon(t, row.heat*1e3, WaterHeatCapacity(kelvin), 3e-4, "heat capacity at %g degC", row.celsius)
		if row.celsius < 100 {
			assert.InEpsilon(t, row.heat*1e3, WaterHeatCapacity(kelvin), 4e-5, "heat capacity at %g degC", row.celsius)
		}
		assert.InEpsilon(t, row.latent*1e3, LatentHeat(kelvin), 3e-5, "latent heat at %g degC", row.celsius)
	}
}

func TestWaterEnthalpyAgainstIAPWS(t *testing.T) {
	// IAPWS-95 at 101.325 kPa: from 33 to 95 degC 398.1017120 - 138.3612456
	// kJ/kg. IAPWS-IF97 has 167.2097 kJ/kg from 20 to 60 degC, 0.02 % less than
	// IAPWS-95.
	at := func(celsius float64) float64 { return WaterEnthalpy(celsius + ZeroCelsius) }
	assert.InEpsilon(t, 167.2097e3, at(60)-at(20), 3e-4)
	assert.InEpsilon(t, 398.1017120e3-138.3612456e3, at(95)-at(33), 2e-5)
	assert.Zero(t, at(0))
	// Beyond the fit it goes on straight, without a jump.
	assert.InDelta(t, 10*WaterHeatCapacity(373.15), at(110)-at(100), 1e-6)
	assert.InDelta(t, -10*WaterHeatCapacity(273.15), at(-10), 1e-6)
}

func TestHeatUpOfTenLitres(t *testing.T) {
	// 10 litres of water filled at 20 degC, to 60 degC by 1 kW and without
	// loss, by IAPWS-IF97 enthalpy: 1669.1 s, held to 0.03 %.
	mass := 0.010 * WaterDensity(20+ZeroCelsius)
	heat := mass * (WaterEnthalpy(60+ZeroCelsius) - WaterEnthalpy(20+ZeroCelsius))
	assert.InEpsilon(t, 1669.1, heat/1000, 3e-4)
}
