package drive_test
import ("testing";"fmt";"time";"bathtender/sim/plant";"bathtender/sim/drive";"bathtender/sim/scenario";"bathtender/testdata";"bathtender/hal")
func TestZ(t *testing.T){
 for _,litres:=range []float64{0,0.5,1,2,3,4,5,6,8,10,12,14,16,18,20,25}{
 sc,_:=scenario.LoadFrom(testdata.FS.ReadFile,"scenarios/fan-fails.toml")
 sc.World.Litres=litres; sc.World.Bath=293.15; sc.World.Room=293.15
 sc.Config.Interlock.VolumeMinimum=0
 p,_:=plant.New(sc.Plant,sc.World)
 p.Faults.FloatStuck=plant.StuckOK
 s:=drive.New(sc.Config,p)
 for s.Now()<5*time.Second {s.Tick(hal.Request{})}
 s.Tick(hal.Request{Verb:hal.Start,Recipe:"heavy"})
 fmt.Printf("%4.1f l: ",litres)
 maxp:=0.0
 trip:=""
 for s.Now()<260*time.Second {
   s.Tick(hal.Request{})
   tr:=p.Truth(); maxp=max(maxp,tr.Plate-273.15)
   for _,e:=range s.Events { if e.Interlock.Kind==1 || e.Health.Kind!=0 {trip+=fmt.Sprintf("\n     %v %s",s.Now(),s.Supervisor.Sentence(e))} }
   if s.Now()%(20*time.Second)==0 && s.Now()>80*time.Second { est:=s.Supervisor.Status().Estimates; if est.Volume.Valid {fmt.Printf("%.0fs %.1f±%.1f|",s.Now().Seconds(),float64(est.Volume.Value)/1e6,float64(est.VolumeBand)/1e6)} else {fmt.Printf("%.0fs -|", s.Now().Seconds())} }
 }
 fmt.Printf(" plate %.0f %s\n",maxp,trip)
 }
}
